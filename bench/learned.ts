import { setFlagsFromString } from 'node:v8'
import { runInNewContext } from 'node:vm'
import { gzipSync } from 'node:zlib'
import { type PastRows, readRuns, readStays } from '../src/api/past-told.ts'
import { Learned } from '../src/api/schemas.ts'
import { documentsInForce } from '../src/chart/documents/documents-in-force.ts'
import { Chart } from '../src/chart/folds/chart.ts'
import { uuidv7 } from '../src/chart/ids.ts'
import type { AnyFact } from '../src/chart/registry.ts'
import { PastVisits } from '../src/server/past-visits.ts'
import { learningInstant, learnTimes } from '../src/shift/index.ts'
import { openDatabase } from '../src/store/database.ts'
import { Ledger } from '../src/store/ledger.ts'
import { Ward } from '../test/support/shift-ward.ts'
import { Dice } from '../test/torture/dice.ts'
import { HERE, inWords, onPostgres, onSqlite, timed } from './ledger-measure.ts'

const PATIENTS = 4000
const VISITS_EACH = 5
const HISTORY_MS = 330 * 86_400_000
const NOW_MS = Date.parse('2026-11-26T12:00:00.000Z')
const CUPS = ['tee-jet', 'mask-jet', 'breath-assisted', 'vented-jet', 'reservoir-jet']
const ISOLATION = [[], [], [], ['CON'], ['DRP'], ['AIR']]
const TICK_MS = 2

/** What a server does to count 20,000 past visits, how long it holds anything else up, and how much it then tells. */
export async function run(): Promise<void> {
  for (const [name, place] of [
    ['SQLite', await onSqlite()],
    ['PostgreSQL', await onPostgres()],
  ] as const) {
    try {
      const open = openDatabase(place.address)
      const ledger = new Ledger(open)
      await fill(ledger)
      await measure(name, ledger)
      await ledger.close()
    } finally {
      await place.close()
    }
  }
}

async function fill(ledger: Ledger): Promise<void> {
  for (let patient = 0; patient < PATIENTS; patient += 1) {
    const facts = factsOf(patient)
    const receivedAt = facts.at(-1)?.recordedAt ?? ''
    await ledger.append(HERE, { facts, receivedAt, deviceAheadMs: null })
  }
}

/** A stay with five treatments; the runs scatter, the cups and the isolation differ. */
function factsOf(patient: number): AnyFact[] {
  const dice = new Dice(patient + 1)
  const admittedMs = NOW_MS - HISTORY_MS + Math.floor((HISTORY_MS * patient) / PATIENTS)
  const id = (atMs: number) =>
    uuidv7({
      nowMs: () => atMs,
      randomBytes: (length) => Uint8Array.from({ length }, () => dice.whole(0, 255)),
    })
  const [patientId, orderId] = [id(admittedMs), id(admittedMs)]
  const ward = new Ward(patient + 1)
  ward.at(new Date(admittedMs).toISOString())
  ward.patient(patientId, '4WEST', { isolation: dice.pick(ISOLATION) }).order(orderId, patientId)
  for (let visit = 0; visit < VISITS_EACH; visit += 1) {
    const openedMs = admittedMs + visit * 4 * 3_600_000
    const run = dice.whole(60, 160) / 10
    ward.visit(
      { patientId, orderId, visitId: id(openedMs) },
      null,
      'amsel',
      new Date(openedMs).toISOString(),
      {
        startedAfter: 6,
        endedAfter: 6 + run,
        signedAfter: 10 + run + dice.whole(0, 9),
        stopped: dice.whole(0, 19) === 0,
      },
    )
  }
  return ward.facts.map((fact) =>
    fact.kind === 'set-up-chosen' ? { ...fact, body: { ...fact.body, cupId: dice.pick(CUPS) } } : fact,
  )
}

async function measure(name: string, ledger: Ledger): Promise<void> {
  let nowMs = NOW_MS
  const faults: unknown[] = []
  const past = new PastVisits({
    ledger,
    facility: HERE,
    nowMs: () => nowMs,
    failed: (error) => faults.push(error),
  })
  const heapBefore = heapMb()
  const ticks = new Ticks()
  const first = await timed(() => counted(past, nowMs))
  const heldUp = ticks.end()
  const keptMb = heapMb() - heapBefore
  nowMs += 6 * 60_000
  const again = await timed(() => counted(past, nowMs))
  if (faults.length > 0) throw faults[0]

  const reply = await timed(async () => JSON.stringify(past.ask()))
  const read = await timed(async () => rowsOf(Learned.parse(JSON.parse(reply.value))))
  const { documents } = documentsInForce([], new Date(nowMs).toISOString())
  const at = learningInstant(new Date(nowMs).toISOString())
  const taught = await timed(async () => learnTimes(new Chart(), documents, at, read.value.stays))
  console.log(`${name}, ${PATIENTS * VISITS_EACH} visits of ${PATIENTS} patients:`)
  console.log(`  counted in ${(first.ms / 1000).toFixed(1)} s, nothing new in ${again.ms.toFixed(0)} ms`)
  console.log(`  meanwhile a timer of ${TICK_MS} ms came late by: ${inWords(heldUp)}`)
  console.log(`  memory kept: ${keptMb.toFixed(1)} MB`)
  console.log(`  told: ${read.value.runs.length} runs, ${read.value.stays.length} stays,`)
  console.log(
    `    ${(reply.value.length / 1000).toFixed(0)} kB (${(gzipSync(reply.value).length / 1000).toFixed(0)} kB gzipped), written in ${reply.ms.toFixed(1)} ms`,
  )
  console.log(
    `  a tablet reads it in ${read.ms.toFixed(1)} ms and learns from ${taught.value.counted} stays in ${taught.ms.toFixed(1)} ms`,
  )
}

/** What is in use once everything that can go has gone. */
function heapMb(): number {
  setFlagsFromString('--expose-gc')
  runInNewContext('gc')()
  return process.memoryUsage().heapUsed / 1e6
}

async function counted(past: PastVisits, nowMs: number): Promise<void> {
  const at = new Date(nowMs).toISOString()
  while (past.ask().past?.countedAt !== at) await new Promise((resolve) => setTimeout(resolve, TICK_MS))
}

function rowsOf({ past }: Learned): PastRows {
  if (past === null) throw new Error('it was counted')
  return { runs: readRuns(past), stays: readStays(past) }
}

/** How late a timer comes while something else is done [ms]. */
class Ticks {
  readonly #late: number[] = []
  #timer: NodeJS.Timeout
  constructor() {
    let due = performance.now() + TICK_MS
    const tick = () => {
      this.#late.push(Math.max(0, performance.now() - due))
      due = performance.now() + TICK_MS
      this.#timer = setTimeout(tick, TICK_MS)
    }
    this.#timer = setTimeout(tick, TICK_MS)
  }
  end(): readonly number[] {
    clearTimeout(this.#timer)
    return this.#late
  }
}
