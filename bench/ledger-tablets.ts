import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { Download, LiveEvent, UploadAnswer } from '../src/api/schemas.ts'
import { openLedger } from '../src/cli/open.ts'
import { People } from '../src/server/people.ts'
import { bedsideFacts } from '../test/torture/bedside-facts.ts'
import { Dice } from '../test/torture/dice.ts'
import { SECRET, ServerProcess } from '../test/torture/server-process.ts'
import { HERE, inWords, onPostgres, onSqlite, type Place, type Sizes } from './ledger-measure.ts'

/** How often each tablet sends what was charted on it [ms]: much more than anybody charts. */
const EVERY_MS = 10_000
const PEOPLE = 10
const pause = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms))

type Heard = { readonly last: number; readonly atMs: number }
type Sent = { readonly sequence: number; readonly atMs: number }

/**
 * A hundred tablets on one server process, each with a live line: every ten seconds each sends a few facts, and each
 * takes down what the others wrote as soon as it hears of it. How long an upload takes until it is acknowledged, and
 * how long until every other tablet hears of it.
 */
export async function benchTablets({ tablets, seconds }: Sizes): Promise<void> {
  for (const [name, place] of [
    ['SQLite', await onSqlite()],
    ['PostgreSQL', await onPostgres()],
  ] as const) {
    try {
      await onOne(name, place, tablets, seconds)
    } finally {
      await place.close()
    }
  }
}

async function onOne(name: string, place: Place, count: number, seconds: number): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), 'mistwright-tablets-'))
  const cookies = await sessions(place.address, count)
  const server = new ServerProcess({ database: place.address, facility: HERE, folder, name: 'bench' })
  await server.start()
  try {
    const tablets = cookies.map(
      ({ cookie, personId }, at) => new BenchTablet(server.port, cookie, personId, at),
    )
    await Promise.all(tablets.map((tablet) => tablet.listen()))
    await Promise.all(tablets.map((tablet) => tablet.work(seconds * 1000)))
    await pause(2000)
    for (const tablet of tablets) tablet.close()
    const uploads = tablets.flatMap(({ uploadMs }) => uploadMs)
    const sent = tablets.flatMap((tablet) => tablet.sent)
    console.log(
      `${name}, ${count} tablets, ${seconds} s, ${(uploads.length / seconds).toFixed(1)} uploads a second:`,
    )
    console.log(`  an upload:     ${inWords(uploads)}`)
    console.log(`  a live update: ${inWords(tablets.flatMap(({ heard }) => liveMs(sent, heard)))}`)
    console.log(`  a download:    ${inWords(tablets.flatMap(({ takeMs }) => takeMs))}`)
  } finally {
    await server.stop('SIGTERM')
    rmSync(folder, { recursive: true, force: true })
  }
}

/** From the sending of each fact until a tablet heard that the ledger has grown that far [ms]. */
function liveMs(sent: readonly Sent[], heard: readonly Heard[]): number[] {
  return sent.flatMap(({ sequence, atMs }) => {
    const first = heard.find(({ last }) => last >= sequence)
    return first ? [Math.max(0, first.atMs - atMs)] : []
  })
}

async function sessions(database: string, count: number): Promise<{ cookie: string; personId: string }[]> {
  const { open, ledger } = await openLedger({ database, facility: HERE }, Date.now, true)
  const people = await People.open(
    open,
    { secret: SECRET, baseUrl: 'http://127.0.0.1', idleMinutes: 60, longestHours: 13 },
    Date.now,
  )
  const password = 'seven herons on a long ward'
  for (let at = 0; at < PEOPLE; at += 1)
    await people.add({
      facility: HERE,
      personId: `person${at}`,
      name: `Person ${at}`,
      role: 'therapist',
      password,
    })
  const made = []
  for (let at = 0; at < count; at += 1) {
    const personId = `person${at % PEOPLE}`
    const outcome = await people.signIn(HERE, personId, password)
    if (outcome.kind !== 'in') throw new Error(`${personId} was not let in`)
    made.push({ personId, cookie: outcome.cookies.map((each) => each.split(';')[0]).join('; ') })
  }
  await ledger.close()
  return made
}

class BenchTablet {
  readonly uploadMs: number[] = []
  readonly takeMs: number[] = []
  readonly sent: Sent[] = []
  readonly heard: Heard[] = []
  readonly #origin: string
  readonly #cookie: string
  readonly #personId: string
  readonly #dice: Dice
  readonly #closing = new AbortController()
  #cursor = 0
  #taking = false
  #wanted = 0

  constructor(port: number, cookie: string, personId: string, number: number) {
    this.#origin = `http://127.0.0.1:${port}`
    this.#cookie = cookie
    this.#personId = personId
    this.#dice = new Dice(number + 1)
  }

  async listen(): Promise<void> {
    const headers = { cookie: this.#cookie }
    const reply = await fetch(`${this.#origin}/api/live`, { headers, signal: this.#closing.signal })
    if (reply.status !== 200) throw new Error(`the live line answered ${reply.status}`)
    void this.#hear(reply).catch(() => undefined)
  }

  async #hear(reply: Response): Promise<void> {
    const decoder = new TextDecoder()
    for await (const chunk of reply.body ?? [])
      for (const [, data] of decoder.decode(chunk).matchAll(/^data: (.*)$/gm)) {
        const { last } = LiveEvent.parse(JSON.parse(data ?? ''))
        this.heard.push({ last, atMs: performance.now() })
        this.#wanted = Math.max(this.#wanted, last)
        void this.#take()
      }
  }

  /** Takes down what is new, one request after the other. */
  async #take(): Promise<void> {
    if (this.#taking) return
    this.#taking = true
    try {
      while (this.#cursor < this.#wanted && !this.#closing.signal.aborted) {
        const from = performance.now()
        const reply = await fetch(`${this.#origin}/api/facts?after=${this.#cursor}`, {
          headers: { cookie: this.#cookie },
        })
        const { entries, last } = Download.parse(await reply.json())
        this.takeMs.push(performance.now() - from)
        this.#cursor = entries.at(-1)?.sequence ?? last
      }
    } finally {
      this.#taking = false
    }
  }

  async work(forMs: number): Promise<void> {
    const until = performance.now() + forMs
    await pause(this.#dice.whole(0, EVERY_MS))
    while (performance.now() < until) {
      await this.#upload()
      await pause(this.#dice.whole(EVERY_MS / 2, (EVERY_MS * 3) / 2))
    }
  }

  async #upload(): Promise<void> {
    const hand = {
      facility: HERE,
      personId: this.#personId,
      device: 'bench',
      nowMs: Date.now,
      dice: this.#dice,
    }
    const body = JSON.stringify({
      sentAt: new Date().toISOString(),
      facts: bedsideFacts(hand, this.#dice.whole(1, 3)),
    })
    const from = performance.now()
    const headers = { cookie: this.#cookie, 'content-type': 'application/json' }
    const reply = await fetch(`${this.#origin}/api/facts`, { method: 'POST', headers, body })
    const { results } = UploadAnswer.parse(await reply.json())
    this.uploadMs.push(performance.now() - from)
    for (const result of results) {
      if (result.status === 'refused') throw new Error('a good fact was refused')
      this.sent.push({ sequence: result.sequence, atMs: from })
    }
  }

  close(): void {
    this.#closing.abort()
  }
}
