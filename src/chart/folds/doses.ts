import { allDosesDue, type DueDose, dosesDue, type TimingRules } from '../timing/doses-due.ts'
import type { Chart } from './chart.ts'
import { type OrderState, orderStatusAt, termsAt } from './order.ts'
import { runPhase } from './run.ts'
import type { VisitState } from './visit.ts'

export type DoseStatus =
  | 'coming'
  | 'due'
  | 'late'
  | 'missed'
  | 'in hand'
  | 'running'
  | 'given'
  | 'not given'
  | 'to sign'

/** A dose with what became of it. */
export type Dose = DueDose & {
  readonly patientId: string
  readonly title: string
  readonly status: DoseStatus
  readonly visit: VisitState | null
  /** Last acceptable start; after it the dose counts as missed and the next one is looked at instead. */
  readonly latest: string
}

/** Where no later dose sets an end, a dose may still be given so long after its window [min]. Design rule. */
const LATE_MINUTES = 60

/** What falls due of every order of the chart from `from` up to `to`, in order of time. */
export function dueDoses(chart: Chart, rules: TimingRules, from: string, to: string): readonly DueDose[] {
  const lives = chart
    .orders()
    .map((order) => ({ ...order, dischargedAt: chart.patient(order.patientId).dischargedAt }))
  return allDosesDue(lives, rules, from, to).doses
}

/** The dose of one order that falls due at that very instant; null when none does. */
export function dueDoseAt(chart: Chart, orderId: string, rules: TimingRules, doseAt: string): DueDose | null {
  const order = chart.order(orderId)
  if (order === null) return null
  const { dischargedAt } = chart.patient(order.patientId)
  const after = new Date(Date.parse(doseAt) + 1).toISOString()
  return dosesDue(order, rules, doseAt, after, { dischargedAt }).doses[0] ?? null
}

/** Doses in order of time, each with its visit and what became of it by `now`. */
export function dosesWithStatus(chart: Chart, due: readonly DueDose[], now: string): Dose[] {
  return due
    .flatMap((dose) => {
      const order = chart.order(dose.orderId)
      return order ? [dosed(chart, order, dose, now)] : []
    })
    .sort((a, b) => (a.doseAt < b.doseAt ? -1 : a.doseAt > b.doseAt ? 1 : a.orderId < b.orderId ? -1 : 1))
}

function dosed(chart: Chart, order: OrderState, dose: DueDose, now: string): Dose {
  const visits = chart.visitsOf(order.orderId).filter((each) => each.doseAt === dose.doseAt)
  // What was begun counts before what was only opened: a second visit must not make a given dose look open.
  const visit = visits.findLast(({ run }) => run.startedAt !== null) ?? visits.at(-1) ?? null
  const title = termsAt(order, dose.doseAt).title
  const latest =
    dose.window.latest ?? new Date(Date.parse(dose.window.onTimeUntil) + LATE_MINUTES * 60_000).toISOString()
  const isBegun = visit !== null && visit.run.startedAt !== null
  const status =
    !isBegun && notGivenWithoutVisit(chart, order, dose)
      ? 'not given'
      : visit
        ? visited(visit)
        : waiting(dose, latest, now)
  return { ...dose, patientId: order.patientId, title, status, visit, latest }
}

function visited(visit: VisitState): DoseStatus {
  if (visit.notGiven) return 'not given'
  if (visit.note) return 'given'
  switch (runPhase(visit.run)) {
    case 'running':
    case 'paused':
      return 'running'
    case 'ended':
      return 'to sign'
    case 'not started':
      return 'in hand'
  }
}

function waiting({ window }: DueDose, latest: string, now: string): DoseStatus {
  if (now < window.earliest) return 'coming'
  if (now <= window.onTimeUntil) return 'due'
  return now <= latest ? 'late' : 'missed'
}

/** A dose may be charted as not given without anybody having opened a visit for it. */
function notGivenWithoutVisit(chart: Chart, order: OrderState, dose: DueDose): boolean {
  return chart
    .factsAbout('order', order.orderId)
    .some(
      (fact) =>
        fact.kind === 'dose-not-given' &&
        fact.about.visitId === undefined &&
        fact.body.doseAt === dose.doseAt,
    )
}

/** When the last treatment of an order, or of any order with one of the same medicines, was started; null for never. */
export function lastGivenAt(
  chart: Chart,
  patientId: string,
  medicineIds: readonly string[],
  before: string,
): string | null {
  let last: string | null = null
  for (const order of chart.ordersOf(patientId)) {
    if (!sharesMedicine(order, medicineIds, before)) continue
    for (const visit of chart.visitsOf(order.orderId)) {
      const at = visit.run.startedAt
      if (at !== null && at < before && (last === null || at > last)) last = at
    }
  }
  return last
}

function sharesMedicine(order: OrderState, medicineIds: readonly string[], at: string): boolean {
  return termsAt(order, at).medicines.some(
    ({ medicineId, part }) => part === 'medicine' && medicineId !== null && medicineIds.includes(medicineId),
  )
}

/** Orders that may be given on call: as needed, in force. */
export function asNeededOrders(chart: Chart, now: string): OrderState[] {
  return chart
    .orders()
    .filter((order) => termsAt(order, now).prn !== null && orderStatusAt(order, now) === 'active')
}
