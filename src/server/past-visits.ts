import { type PastRows, tellPast } from '../api/past-told.ts'
import type { Learned } from '../api/schemas.ts'
import { type DocumentsInForce, documentsInForce } from '../chart/documents/documents-in-force.ts'
import { Chart } from '../chart/folds/chart.ts'
import { NEWEST_RUNS, type PastRun, pastRun } from '../chart/folds/charted-runs.ts'
import { newestPast } from '../chart/folds/past-rows.ts'
import { learningInstant, learningSince, NEWEST_STAYS, type PastStay, pastStay } from '../shift/index.ts'
import type { Ledger } from '../store/ledger.ts'
import { factsOf } from './facts-of.ts'

/** Runs of cups are told from so far back: cups and lots change [ms]. Design rule. */
const RUNS_FROM_MS = 365 * 86_400_000
/** Counted anew at most so often [ms]. Design rule. */
const EVERY_MS = 5 * 60_000
/** The server does nothing else for so long at a time, and then lets everything else go first for as long [ms]. Design rule. */
const SLICE_MS = 8
/** Facts of one patient that are read in one go: about as many as fit into a slice. */
const FACTS_AT_ONCE = 250
/** After so many patients what will not be told is let go: a year of a large hospital is not held together. */
const PATIENTS_AT_ONCE = 200
/** So many times what is told is kept, so that what is corrected away has something in its place. Design rule. */
const KEPT = 2

export type PastWorld = {
  readonly ledger: Ledger
  readonly facility: string
  readonly nowMs: () => number
  /** Told of a count that failed; what was counted before stays. */
  readonly failed: (error: unknown) => void
}

type Documents = DocumentsInForce['documents']
type Counted = {
  /** The last entry that it knows. */
  readonly upTo: number
  /** Under which documents. */
  readonly under: string
  readonly byPatient: ReadonlyMap<string, PastRows>
}
type Since = { readonly runs: string; readonly stays: string }

const NOT_COUNTED: Learned = { past: null }

/**
 * What past visits took, counted from the ledger a patient at a time and then again only for those of whom something
 * came in since. In memory stay figures of the visits that are told, never the record. Each process counts for itself.
 */
export class PastVisits {
  readonly #world: PastWorld
  #counted: Counted | null = null
  #told: Learned = NOT_COUNTED
  #turn: Promise<void> | null = null
  #begunMs: number | null = null
  #isClosed = false
  #sliceFromMs = 0

  constructor(world: PastWorld) {
    this.#world = world
  }

  /** What was counted last, at once. Begins to count anew when that was some minutes ago. */
  ask(): Learned {
    const now = this.#world.nowMs()
    const isFresh = this.#begunMs !== null && Math.abs(now - this.#begunMs) < EVERY_MS
    if (this.#turn === null && !isFresh && !this.#isClosed) {
      this.#begunMs = now
      this.#turn = this.#count(now)
        .catch(this.#world.failed)
        .finally(() => {
          this.#turn = null
        })
    }
    return this.#told
  }

  /** Ends what is being counted, before the database goes. */
  async close(): Promise<void> {
    this.#isClosed = true
    await this.#turn
  }

  async #count(nowMs: number): Promise<void> {
    const { ledger, facility } = this.#world
    const countedAt = new Date(nowMs).toISOString()
    const { documents, under } = await this.#documents(countedAt)
    const since = {
      runs: new Date(nowMs - RUNS_FROM_MS).toISOString(),
      stays: learningSince(learningInstant(countedAt), documents['planning-policy'].content),
    }
    const upTo = await ledger.last(facility)
    // What a document says has gone into every row.
    const before = this.#counted?.under === under ? this.#counted : null
    const ids = before
      ? await ledger.patientsAfter(facility, before.upTo)
      : await ledger.patientsTouched(facility, since.runs)
    let read = new Map(before?.byPatient)
    this.#sliceFromMs = performance.now()
    for (const [at, id] of ids.entries()) {
      if (this.#isClosed) return
      read.set(id, await this.#rowsOf(id, documents, since))
      if ((at + 1) % PATIENTS_AT_ONCE === 0) read = settled(read, since).byPatient
    }
    const { byPatient, told } = settled(read, since)
    this.#counted = { upTo, under, byPatient }
    this.#told = { past: tellPast(told, countedAt) }
  }

  async #documents(at: string): Promise<{ readonly documents: Documents; readonly under: string }> {
    const { ledger, facility } = this.#world
    const { facts } = factsOf(await ledger.ofKinds(facility, ['document-adopted']))
    const { documents } = documentsInForce(facts, at)
    const under = Object.values(documents).map(({ adopted }) => adopted?.factId ?? '')
    // A list of cups of its own: forecasts are remembered by it, and these need not outlive the count.
    const cups = { ...documents.cups, content: { ...documents.cups.content } }
    return { documents: { ...documents, cups }, under: under.join(' ') }
  }

  async #rowsOf(patientId: string, documents: Documents, since: Since): Promise<PastRows> {
    const { ledger, facility } = this.#world
    const entries = await ledger.aboutAny(facility, 'patient', [patientId])
    const chart = new Chart()
    for (let at = 0; at < entries.length; at += FACTS_AT_ONCE) {
      const { facts, aheadMs } = factsOf(entries.slice(at, at + FACTS_AT_ONCE))
      chart.add(facts, aheadMs)
      await this.#letOthersGo()
    }
    const runs: PastRun[] = []
    const stays: PastStay[] = []
    for (const visit of chart.visits()) {
      const run = pastRun(visit)
      if (run && run.endedAt >= since.runs) runs.push(run)
      const stay = visit.opened.at >= since.stays ? pastStay(visit, chart, documents) : null
      if (stay) stays.push(stay)
      await this.#letOthersGo()
    }
    return { runs, stays }
  }

  async #letOthersGo(): Promise<void> {
    if (performance.now() - this.#sliceFromMs < SLICE_MS) return
    await new Promise((resolve) => setTimeout(resolve, SLICE_MS))
    this.#sliceFromMs = performance.now()
  }
}

/** What is told of the rows of all patients, and what is kept of them by patient: twice as much. */
function settled(
  read: ReadonlyMap<string, PastRows>,
  since: Since,
): { readonly byPatient: Map<string, PastRows>; readonly told: PastRows } {
  const all = [...read.values()]
  const runs = all.flatMap((rows) => rows.runs).filter(({ endedAt }) => endedAt >= since.runs)
  const stays = all.flatMap((rows) => rows.stays).filter(({ openedAt }) => openedAt >= since.stays)
  const kept = new Set<PastRun | PastStay>([...newestRuns(runs, KEPT), ...newestStays(stays, KEPT)])
  const byPatient = new Map<string, PastRows>()
  for (const [id, rows] of read) {
    const still = {
      runs: rows.runs.filter((run) => kept.has(run)),
      stays: rows.stays.filter((stay) => kept.has(stay)),
    }
    if (still.runs.length + still.stays.length > 0) byPatient.set(id, still)
  }
  return { byPatient, told: { runs: newestRuns(runs, 1), stays: newestStays(stays, 1) } }
}

function newestRuns(runs: readonly PastRun[], times: number): PastRun[] {
  const byCup = new Map<string, PastRun[]>()
  for (const run of runs) {
    const beside = byCup.get(run.cupId)
    if (beside) beside.push(run)
    else byCup.set(run.cupId, [run])
  }
  return [...byCup.values()].flatMap((ofCup) =>
    newestPast(ofCup, times * NEWEST_RUNS, ({ endedAt }) => endedAt),
  )
}

function newestStays(stays: readonly PastStay[], times: number): PastStay[] {
  return newestPast(stays, times * NEWEST_STAYS, ({ openedAt }) => openedAt)
}
