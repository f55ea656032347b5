import type { Chart } from '../../chart/folds/chart.ts'
import { termsAt } from '../../chart/folds/order.ts'
import { fullName } from '../../chart/folds/patient.ts'
import { placeText } from '../../chart/handover.ts'
import type { ShiftProblem } from '../../shift/index.ts'

type Clock = (instant: string) => string
type NotPlanned = ShiftProblem['notPlanned'][number]
type Assumption = ShiftProblem['assumed'][number]

/** What could not be planned, and what was taken for granted, each by name. */
export function remarksOf(
  chart: Chart,
  clock: Clock,
  nameOf: (personId: string) => string,
  { notPlanned, assumed, now }: ShiftProblem,
): string[] {
  return [
    ...notPlanned.map((dose) => `${doseWords(chart, clock, dose, now)}: ${whyWords(clock, dose.why)}`),
    ...assumed.map((assumption) => assumedWords(chart, nameOf, assumption)),
  ]
}

function doseWords(
  chart: Chart,
  clock: Clock,
  { patientId, orderId, title, doseAt }: NotPlanned,
  now: string,
) {
  const patient = chart.patient(patientId)
  const order = chart.order(orderId)
  const what = title || (order ? termsAt(order, now).title : 'order')
  return `${placeText(patient)}, ${fullName(patient)}, ${what}${doseAt === null ? '' : ` due ${clock(doseAt)}`}`
}

function whyWords(clock: Clock, why: NotPlanned['why']): string {
  switch (why.kind) {
    case 'no due times':
    case 'order incomplete':
    case 'waits for an answer':
      return why.what
    case 'place not known':
      return 'nobody has said where the patient is.'
    case 'place not on the map':
      return `unit ${why.unit} is not on the hospital map.`
    case 'nobody signed off':
      return `nobody on this shift is signed off for ${why.skills.join(' and ')}.`
    case 'missed':
      return `it could be given until ${clock(why.latest)}. Chart why it was not.`
    case 'too soon after the last dose':
      return `the last dose was at ${clock(why.lastAt)}, and ${why.gapMinutes} min must lie between.`
    case 'ask how soon it may be repeated':
      return 'the order does not say how soon it may be repeated. Ask the prescriber.'
  }
}

function assumedWords(chart: Chart, nameOf: (personId: string) => string, assumption: Assumption): string {
  switch (assumption.kind) {
    case 'break not recorded':
      return `${nameOf(assumption.personId)}: the time for a break is over, and nothing says whether it was taken.`
    case 'isolation code not known':
      return `${placeText(chart.patient(assumption.patientId))}: precautions ${assumption.code} are not on the list; planned as none.`
    case 'pin cannot hold':
      return `A pin with ${nameOf(assumption.personId)} cannot hold: ${assumption.why}.`
  }
}
