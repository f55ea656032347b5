import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { openDoor, openLedger } from '../src/cli/open.ts'
import { DEMO_SIGN_INS, seedDemo } from '../src/demo/seed.ts'
import { People } from '../src/server/people.ts'
import type { BedsideVisit } from '../test/torture/bedside-facts.ts'
import { SECRET, ServerProcess } from '../test/torture/server-process.ts'
import { BenchTablet, type Came, type Sent, type Who } from './bench-tablet.ts'
import { HERE, inWords, onPostgres, onSqlite, type Place, type Sizes, timed } from './ledger-measure.ts'

/** So long after the last upload everything must have reached every tablet [ms]. */
const LAST_WAY_MS = 60_000
const pause = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms))

/**
 * A hundred tablets of the invented hospital on one server process, each with a live line: all of them begin with nothing at
 * once; then each sends a few facts every ten seconds, and takes over by the app's own puller what the others wrote, as
 * soon as it hears of it. How long an upload takes until it is acknowledged, how long until every tablet hears of it, and
 * until it holds it.
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
  const { who, visits, entries } = await fill(place.address, count)
  const server = new ServerProcess({ database: place.address, facility: HERE, folder, name: 'bench' })
  await server.start()
  try {
    const tablets = who.map((each, at) => new BenchTablet(server.port, each, at))
    const begun = await Promise.all(tablets.map((tablet) => timed(() => tablet.begin())))
    const concerned = tablets[0]?.patients ?? new Set()
    // Taken out, so that what comes later stands by itself.
    const beginning = tablets.flatMap(({ pullMs }) => pullMs.splice(0))
    await Promise.all(tablets.map((tablet) => tablet.listen()))
    const theirs = visits.filter(({ patientId }) => concerned.has(patientId))
    await Promise.all(tablets.map((tablet) => tablet.work(seconds * 1000, theirs)))
    const sent = tablets.flatMap((tablet) => tablet.sent)
    await haveCome(tablets, Math.max(...sent.map(({ sequence }) => sequence)))
    for (const tablet of tablets) tablet.close()
    const uploads = tablets.flatMap(({ uploadMs }) => uploadMs)
    const arrivals = (of: (tablet: BenchTablet) => readonly Came[]) =>
      inWords(tablets.flatMap((tablet) => arrivalMs(sent, of(tablet))))
    console.log(
      `${name}, ${count} tablets, each with ${concerned.size} patients of the shift, ${theirs.length} orders of theirs charted on; a record of ${entries} entries before; ${seconds} s, ${(uploads.length / seconds).toFixed(1)} uploads a second:`,
    )
    console.log(`  beginning, all at once:  ${inWords(begun.map(({ ms }) => ms))}`)
    console.log(`    a request of it:       ${inWords(beginning)}`)
    console.log(`  an upload:               ${inWords(uploads)}`)
    console.log(`  a live update, heard of: ${arrivals(({ heard }) => heard)}`)
    console.log(`  a live update, held:     ${arrivals(({ taken }) => taken)}`)
    console.log(`  a request of a pull:     ${inWords(tablets.flatMap(({ pullMs }) => pullMs))}`)
  } finally {
    await server.stop('SIGTERM')
    rmSync(folder, { recursive: true, force: true })
  }
}

async function haveCome(tablets: readonly BenchTablet[], last: number): Promise<void> {
  const until = performance.now() + LAST_WAY_MS
  while (performance.now() < until && tablets.some(({ cursor }) => cursor < last)) await pause(100)
  // The one that came last has still to note when.
  await pause(100)
}

/**
 * From the sending of each fact until a tablet had come that far [ms].
 * @throws Error when it never did: a figure without the slowest would be worth nothing
 */
function arrivalMs(sent: readonly Sent[], came: readonly Came[]): number[] {
  return sent.map(({ sequence, atMs }) => {
    const first = came.find(({ last }) => last >= sequence)
    if (!first) throw new Error(`entry ${sequence} did not reach every tablet`)
    return Math.max(0, first.atMs - atMs)
  })
}

/** Fills an empty ledger with the invented hospital; gives sessions of its therapists, and a visit to chart on of every order. */
async function fill(database: string, count: number) {
  const { open, ledger, chart } = await openLedger({ database, facility: HERE }, Date.now, true)
  const people = await People.open(
    open,
    { secret: SECRET, baseUrl: 'http://127.0.0.1', idleMinutes: 60, longestHours: 13 },
    Date.now,
  )
  const doorAt = (nowMs: () => number, randomBytes: (length: number) => Uint8Array) =>
    openDoor(HERE, nowMs, randomBytes)
  await seedDemo({ ledger, people, facility: HERE, nowMs: Date.now(), doorAt })
  const orders = (await chart.now()).orders().filter(({ discontinued }) => discontinued === null)
  const visits = orders.map(
    ({ patientId, orderId }): BedsideVisit => ({ patientId, orderId, visitId: `bench-${orderId}` }),
  )
  const therapists = DEMO_SIGN_INS.filter(({ role }) => role === 'therapist')
  const who: Who[] = []
  for (let at = 0; at < count; at += 1) {
    const therapist = therapists[at % therapists.length]
    if (!therapist) throw new Error('the invented hospital has no therapists')
    const { personId, password } = therapist
    const outcome = await people.signIn(HERE, personId, password)
    if (outcome.kind !== 'in') throw new Error(`${personId} was not let in`)
    who.push({ personId, cookie: outcome.cookies.map((each) => each.split(';')[0]).join('; ') })
  }
  const entries = await ledger.last(HERE)
  await ledger.close()
  return { who, visits, entries }
}
