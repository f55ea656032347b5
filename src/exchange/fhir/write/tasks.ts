import { type Dose, dosesWithStatus } from '../../../chart/folds/doses.ts'
import type { OrderState } from '../../../chart/folds/order.ts'
import { allDosesDue } from '../../../chart/timing/doses-due.ts'
import { OURS } from '../codes.ts'
import type { Reference, Task } from '../resources.ts'
import { fhirId, metaOf, ours, personReference, reference, type WriteContext } from './basics.ts'
import { encounterId } from './patient.ts'

const HOUR_MS = 3_600_000
/** Which doses are told of when nobody asks for other times [h before and after now]. Design rule. */
const USUAL_HOURS = { before: 72, after: 24 }
/** Not more than this may be asked for at once [days]. */
export const MOST_DAYS = 31

export type Window = { readonly from: string; readonly to: string }

/** The stretch of time whose doses are told of when nobody says another. */
export function usualWindow(now: string): Window {
  const at = (hours: number) => new Date(Date.parse(now) + hours * HOUR_MS).toISOString()
  return { from: at(-USUAL_HOURS.before), to: at(USUAL_HOURS.after) }
}

const STATUS = {
  coming: 'requested',
  due: 'ready',
  late: 'ready',
  missed: 'failed',
  'in hand': 'accepted',
  running: 'in-progress',
  'to sign': 'in-progress',
  given: 'completed',
  'not given': 'rejected',
} as const satisfies Record<Dose['status'], string>

/** The doses of some orders that fall due in a stretch of time, each as the task of giving it. */
export function writeTasks(
  context: WriteContext,
  orders: readonly OrderState[],
  { from, to }: Window,
  outputOf: (dose: Dose) => readonly Reference[],
): Task[] {
  const { chart, rules, now } = context
  const lives = orders.map((order) => ({
    ...order,
    dischargedAt: chart.patient(order.patientId).dischargedAt,
  }))
  const due = allDosesDue(lives, rules, from, to).doses
  return dosesWithStatus(chart, due, now).map((dose) => writeTask(context, dose, outputOf(dose)))
}

/** `20260310T120000000Z` behind the order: the id of a dose, from which order and time can be told again. */
export function taskId(orderId: string, doseAt: string): string {
  return fhirId(`${fhirId(orderId)}.${doseAt.replace(/[-:.]/g, '')}`)
}

/** When the dose of a task is due, out of its id; null when it is none. */
export function dueOfTask(id: string): string | null {
  const [, year, month, day, hour, minute, second, ms] =
    /\.(\d{4})(\d\d)(\d\d)T(\d\d)(\d\d)(\d\d)(\d{3})Z$/.exec(id) ?? []
  if (year === undefined) return null
  const text = `${year}-${month}-${day}T${hour}:${minute}:${second}.${ms}Z`
  return Number.isNaN(Date.parse(text)) ? null : text
}

function writeTask(context: WriteContext, dose: Dose, output: readonly Reference[]): Task {
  const { chart } = context
  const { orderId, patientId, doseAt, window, title, status, visit } = dose
  const facts = [
    ...chart.factsAbout('order', orderId).filter(({ kind }) => kind.startsWith('order-')),
    ...(visit ? chart.factsAbout('visit', visit.visitId) : []),
  ]
  const hand = visit?.hands.at(-1)
  const period = {
    ...(visit && { start: visit.run.startedAt ?? visit.opened.at }),
    ...(visit?.run.endedAt && { end: visit.run.endedAt }),
  }
  return {
    resourceType: 'Task',
    id: taskId(orderId, doseAt),
    ...metaOf(facts),
    basedOn: [reference('MedicationRequest', orderId, title)],
    status: STATUS[status],
    businessStatus: ours(OURS.visit, status),
    intent: 'order',
    code: { text: 'nebulized treatment' },
    focus: reference('MedicationRequest', orderId),
    for: reference('Patient', patientId),
    encounter: { reference: `Encounter/${encounterId(patientId)}` },
    ...(Object.keys(period).length > 0 && { executionPeriod: period }),
    ...(hand && { owner: personReference(context, hand.personId) }),
    restriction: { period: { start: window.earliest, end: window.onTimeUntil } },
    ...(dose.questions.length > 0 && {
      note: dose.questions.map(({ what, todo }) => ({ text: `${what}. ${todo}.` })),
    }),
    ...(output.length > 0 && {
      output: output.map((valueReference) => ({ type: { text: 'administration' }, valueReference })),
    }),
  }
}
