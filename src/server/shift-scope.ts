import { documentsInForce } from '../chart/documents/documents-in-force.ts'
import type { Chart } from '../chart/folds/chart.ts'
import { settleItems } from '../chart/folds/settle.ts'
import { concernsFromElsewhere, plannedPatients, watchAt } from '../shift/concerned.ts'
import { platformDigest } from '../store/digest.ts'
import type { Ledger } from '../store/ledger.ts'
import { type LiveChart, liveSince } from './live-chart.ts'

/**
 * People come and go by the clock too: whom the shift concerns is asked as of the last full five minutes, the same on
 * every server of the department [ms]. Design rule.
 */
const EVERY_MS = 5 * 60_000

/** The patients who concern the shift, and what their set is called: the SHA-256 of their sorted ids, each on a line. */
export type Scope = { readonly hash: string; readonly patients: ReadonlySet<string> }

type Parts = {
  readonly ledger: Ledger
  readonly facility: string
  readonly chart: LiveChart
  readonly nowMs: () => number
}
type Kept = {
  readonly chart: Chart
  readonly revision: number
  readonly atMs: number
  readonly scope: Promise<Scope>
}

/**
 * Whom the shift concerns now. On its units: everybody who is there, or of whom something came in during the last 72 hours.
 * On other units, of these: whoever would be seen to by nobody else, has a place in the plan, or something open under
 * Settle. And whoever a message of ours was about that was given up, until somebody has seen to it. It follows from the
 * ledger and the time alone, so that every server names the same set.
 */
export class ShiftScope {
  readonly #parts: Parts
  #kept: Kept | null = null

  constructor(parts: Parts) {
    this.#parts = parts
  }

  /** Knows everything that was stored when it was asked for. Found once for all who ask before anything changes. */
  async now(): Promise<Scope> {
    const atMs = Math.floor(this.#parts.nowMs() / EVERY_MS) * EVERY_MS
    const chart = await this.#parts.chart.now()
    const { revision } = chart
    const kept = this.#kept
    if (kept?.chart === chart && kept.revision === revision && kept.atMs === atMs) return kept.scope
    const scope = this.#found(chart, atMs)
    const found = { chart, revision, atMs, scope }
    this.#kept = found
    scope.catch(() => {
      if (this.#kept === found) this.#kept = null
    })
    return scope
  }

  async #found(chart: Chart, atMs: number): Promise<Scope> {
    const { ledger, facility } = this.#parts
    const now = new Date(atMs).toISOString()
    const { documents } = documentsInForce(chart.factsAbout('document', 'site'), now)
    const watch = watchAt(chart, documents.site.content, now)
    const live = await ledger.livePatients(facility, liveSince(atMs))
    const onUnits =
      watch.units === null
        ? live
        : await ledger.livePatients(facility, { ...liveSince(atMs), units: watch.units })
    const patients = new Set(onUnits)
    const planned = plannedPatients(chart, watch)
    for (const id of live)
      if (!patients.has(id) && (planned.has(id) || concernsFromElsewhere(chart, id, watch))) patients.add(id)
    // What is open is dear to find: it is asked only of orders that say something of whoever nothing else brought in.
    const rest = new Set(live.filter((id) => !patients.has(id)))
    const orders = new Map(
      [...rest].flatMap((id) => chart.ordersOf(id)).map((order) => [order.orderId, order]),
    )
    for (const { kind, patientId } of settleItems(chart, now, [...orders.values()]))
      if (patientId && (kind === 'outgoing' || rest.has(patientId))) patients.add(patientId)
    const ids = [...patients].sort()
    return { hash: platformDigest(ids.map((id) => `${id}\n`).join('')), patients: new Set(ids) }
  }
}
