import type { DocumentsInForce } from '../chart/documents/documents-in-force.ts'
import type { Chart } from '../chart/folds/chart.ts'
import { termsAt } from '../chart/folds/order.ts'
import { runElapsedMs, runPhase } from '../chart/folds/run.ts'
import type { VisitState } from '../chart/folds/visit.ts'
import { doseKey } from '../chart/timing/doses-due.ts'
import { handsOf } from './crew.ts'
import type { LearnedTimes } from './learned-times.ts'
import { categoryOf } from './past-stay.ts'
import { expectedRun } from './set-up-forecast.ts'
import type { ShiftSpan } from './shift-span.ts'
import type { DoneStay } from './stay.ts'
import { runMinutes, type StayMinutes, stayMinutes } from './stay-minutes.ts'
import type { Ways } from './ways.ts'

type Documents = DocumentsInForce['documents']
const MINUTE_MS = 60_000
/** Of the minutes with the hands, the share that comes after the run. Common practice, no source. */
const AFTER_SHARE = 0.45

/** A treatment that is running, or ended and not charted yet. */
export type RunningStay = DoneStay & {
  readonly phase: 'in hand' | 'running' | 'to finish'
  /** When the mist should end; null before it is begun. */
  readonly runEndsAt: string | null
}

export type StaysSoFar = { readonly done: readonly DoneStay[]; readonly running: readonly RunningStay[] }

/** What was given in this shift so far, and what is in hand, with the end as far as it can be foreseen. */
export function staysSoFar(
  chart: Chart,
  documents: Documents,
  ways: Ways,
  learned: LearnedTimes,
  span: ShiftSpan,
  now: string,
): StaysSoFar {
  const done: DoneStay[] = []
  const running: RunningStay[] = []
  for (const visit of chart.visits()) {
    if (visit.opened.at > now || visit.notGiven) continue
    const ended = visit.note?.signed.at ?? null
    if (ended !== null && ended <= now) {
      if (ended <= span.from) continue
      const made = stayOfVisit(visit, ended, 'given', chart, ways, span)
      if (made) done.push(made)
      continue
    }
    if (visit.opened.at < span.from && Date.parse(now) - Date.parse(visit.opened.at) > STALE_MS) continue
    const expected = expectedMinutes(visit, chart, documents, learned)
    const ahead = aheadOf(visit, expected, now)
    const made = stayOfVisit(visit, ahead.endAt, ahead.status, chart, ways, span)
    if (made) running.push({ ...made, phase: ahead.phase, runEndsAt: ahead.runEndsAt })
  }
  return { done: done.sort(byStart), running: running.sort(byStart) }
}

/** A visit of the shift before that is still open after so long is for that shift to close. Design rule. */
const STALE_MS = 180 * MINUTE_MS

function byStart(a: DoneStay, b: DoneStay): number {
  return a.startAt < b.startAt ? -1 : a.startAt > b.startAt ? 1 : a.visitId < b.visitId ? -1 : 1
}

function stayOfVisit(
  visit: VisitState,
  endAt: string,
  status: DoneStay['status'],
  chart: Chart,
  ways: Ways,
  span: ShiftSpan,
): DoneStay | null {
  const order = chart.order(visit.orderId)
  const { place } = chart.patient(visit.patientId)
  const at = place ? ways.placeOf(place.unit, place.room) : null
  const hand = visit.hands.at(-1)
  if (!order || at === null || !hand) return null
  return {
    visit: doseKey(visit.orderId, visit.doseAt ?? visit.visitId),
    patientId: visit.patientId,
    group: `${visit.patientId} ${visit.orderId}`,
    at,
    doses: [
      {
        orderId: visit.orderId,
        doseAt: visit.doseAt,
        callId: null,
        title: termsAt(order, visit.doseAt ?? visit.opened.at).title,
      },
    ],
    dueAt: visit.doseAt ?? visit.opened.at,
    personId: handsOf(hand.personId, chart, span),
    startAt: visit.opened.at,
    endAt,
    status,
    visitId: visit.visitId,
  }
}

function expectedMinutes(
  visit: VisitState,
  chart: Chart,
  documents: Documents,
  learned: LearnedTimes,
): StayMinutes {
  const order = chart.order(visit.orderId)
  const category = categoryOf(chart.patient(visit.patientId).isolation, documents)
  const runs = order
    ? [runMinutes(expectedRun(chart, order, documents, visit.opened.at), learned, documents)]
    : []
  return stayMinutes(category, runs, learned, documents)
}

function aheadOf(visit: VisitState, expected: StayMinutes, now: string) {
  const after = expected.handsOn * AFTER_SHARE
  const nowMs = Date.parse(now)
  const notBeforeNextMinute = (ms: number) => new Date(Math.max(ms, nowMs + MINUTE_MS)).toISOString()
  const phase = runPhase(visit.run)
  if (phase === 'not started') {
    const endAt = notBeforeNextMinute(Date.parse(visit.opened.at) + expected.total * MINUTE_MS)
    return { phase: 'in hand' as const, status: 'in hand' as const, endAt, runEndsAt: null }
  }
  if (visit.run.endedAt !== null) {
    const endAt = notBeforeNextMinute(Date.parse(visit.run.endedAt) + after * MINUTE_MS)
    return { phase: 'to finish' as const, status: 'to sign' as const, endAt, runEndsAt: visit.run.endedAt }
  }
  const runMs = (expected.runs[0]?.minutes ?? 0) * MINUTE_MS
  const leftMs = Math.max(MINUTE_MS, runMs - runElapsedMs(visit.run, now))
  const runEndsMs = nowMs + leftMs
  return {
    phase: 'running' as const,
    status: 'running' as const,
    endAt: new Date(runEndsMs + after * MINUTE_MS).toISOString(),
    runEndsAt: new Date(runEndsMs).toISOString(),
  }
}
