import { LiveEvent, UploadAnswer } from '../src/api/schemas.ts'
import { type Api, createApi } from '../src/app/local/api.ts'
import { Puller } from '../src/app/local/puller.ts'
import { type BedsideVisit, bedsideFacts } from '../test/torture/bedside-facts.ts'
import { Dice } from '../test/torture/dice.ts'
import { HeldInMemory } from './held-in-memory.ts'
import { HERE } from './ledger-measure.ts'

/** How often each tablet sends what was charted on it [ms]: much more than anybody charts. */
const EVERY_MS = 10_000
const pause = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms))

/** When a tablet had come as far as an entry, by its number. */
export type Came = { readonly last: number; readonly atMs: number }
export type Sent = { readonly sequence: number; readonly atMs: number }
export type Who = { readonly personId: string; readonly cookie: string }

/**
 * A tablet without screen and disk: it hears the live line, takes over what concerns the shift by the app's own puller,
 * and sends what is charted.
 */
export class BenchTablet {
  readonly uploadMs: number[] = []
  readonly pullMs: number[] = []
  readonly sent: Sent[] = []
  /** When it heard of entries, and when it had taken them over. */
  readonly heard: Came[] = []
  readonly taken: Came[] = []
  readonly #held = new HeldInMemory()
  readonly #origin: string
  readonly #who: Who
  readonly #device: string
  readonly #dice: Dice
  readonly #api: Api
  readonly #puller: Puller
  readonly #closing = new AbortController()
  #pulling = false
  #wanted = 0

  constructor(port: number, who: Who, number: number) {
    this.#origin = `http://127.0.0.1:${port}`
    this.#who = who
    this.#device = `bench-${number}`
    this.#dice = new Dice(number + 1)
    this.#api = createApi((path, init) => {
      const headers = { ...(init?.headers as Record<string, string>), cookie: who.cookie }
      return fetch(`${this.#origin}${path}`, { ...init, headers })
    })
    const post: Api['post'] = async (path, body, reply) => {
      const from = performance.now()
      const answer = await this.#api.post(path, body, reply)
      this.pullMs.push(performance.now() - from)
      return answer
    }
    const world = { api: { post }, keep: this.#held, device: this.#device }
    this.#puller = new Puller(world, { taken: () => {}, forgotten: () => {}, lacking: () => {} })
  }

  /** The patients whom it holds whole. */
  get patients(): ReadonlySet<string> {
    return this.#held.whole
  }

  /** All that concerns it up to this entry has been taken over. */
  get cursor(): number {
    return this.#held.cursor
  }

  /** Takes over all that there is, as after a sign-in on a tablet that holds nothing. */
  async begin(): Promise<void> {
    while (await this.#pull());
  }

  async listen(): Promise<void> {
    const headers = { cookie: this.#who.cookie }
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
        void this.#takeOver()
      }
  }

  /** Takes over what is new, one pull after the other. */
  async #takeOver(): Promise<void> {
    if (this.#pulling) return
    this.#pulling = true
    try {
      while (this.cursor < this.#wanted && !this.#closing.signal.aborted) {
        await this.#pull()
        this.taken.push({ last: this.cursor, atMs: performance.now() })
      }
    } finally {
      this.#pulling = false
    }
  }

  /** One pull, as the app does it; gives whether there is more. */
  async #pull(): Promise<boolean> {
    const pulled = await this.#puller.pull(this.cursor, this.#held.mark, 0)
    if (pulled.kind === 'said no') throw new Error(`a pull was answered ${JSON.stringify(pulled.reply)}`)
    return pulled.kind === 'overtaken' || pulled.more
  }

  /** Charts at these visits and sends it, for so long. */
  async work(forMs: number, visits: readonly BedsideVisit[]): Promise<void> {
    const until = performance.now() + forMs
    await pause(this.#dice.whole(0, EVERY_MS))
    while (performance.now() < until) {
      await this.#upload(visits)
      await pause(this.#dice.whole(EVERY_MS / 2, (EVERY_MS * 3) / 2))
    }
  }

  async #upload(visits: readonly BedsideVisit[]): Promise<void> {
    const { personId } = this.#who
    const [device, dice] = [this.#device, this.#dice]
    const facts = bedsideFacts(
      { facility: HERE, personId, device, nowMs: Date.now, dice, visits },
      dice.whole(1, 3),
    )
    const body = { sentAt: new Date().toISOString(), facts, device, waiting: 0 }
    const from = performance.now()
    const reply = await this.#api.post('/api/facts', body, UploadAnswer)
    if (reply.kind !== 'ok') throw new Error(`an upload was answered ${JSON.stringify(reply)}`)
    this.uploadMs.push(performance.now() - from)
    for (const result of reply.body.results) {
      if (result.status === 'refused') throw new Error('a good fact was refused')
      this.sent.push({ sequence: result.sequence, atMs: from })
    }
  }

  close(): void {
    this.#closing.abort()
    this.#puller.stop()
  }
}
