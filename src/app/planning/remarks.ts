import type { Chart } from '../../chart/folds/chart.ts'
import { termsAt } from '../../chart/folds/order.ts'
import { fullName } from '../../chart/folds/patient.ts'
import { placeText } from '../../chart/handover.ts'
import { assumptionWords, notPlannedWords, type ShiftProblem } from '../../shift/index.ts'

type Clock = (instant: string) => string

/** What could not be planned, and what was taken for granted, each by name. */
export function remarksOf(
  chart: Chart,
  clock: Clock,
  nameOf: (personId: string) => string,
  { notPlanned, assumed, stays, now }: ShiftProblem,
): string[] {
  const called = (id: string) => {
    if (chart.person(id)) return nameOf(id)
    return placeText(chart.patient(stays.find(({ visit }) => visit === id)?.patientId ?? id))
  }
  return [
    ...notPlanned.map((dose) => `${doseWords(chart, clock, dose, now)}: ${notPlannedWords(dose, clock)}`),
    ...assumed.map((assumption) => assumptionWords(assumption, called)),
  ]
}

function doseWords(
  chart: Chart,
  clock: Clock,
  { patientId, orderId, title, doseAt }: ShiftProblem['notPlanned'][number],
  now: string,
): string {
  const patient = chart.patient(patientId)
  const order = chart.order(orderId)
  const what = title || (order ? termsAt(order, now).title : 'order')
  return `${placeText(patient)}, ${fullName(patient)}, ${what}${doseAt === null ? '' : ` due ${clock(doseAt)}`}`
}
