import type { DocumentsInForce } from '../chart/documents/documents-in-force.ts'
import type { Chart } from '../chart/folds/chart.ts'
import { dosesWithStatus, lastGivenAt } from '../chart/folds/doses.ts'
import { type OrderState, openFindings, orderStatusAt, termsAt } from '../chart/folds/order.ts'
import { allDosesDue, type DueDose, doseKey } from '../chart/timing/doses-due.ts'
import { prnAvailableAt, prnGapMinutes } from '../chart/timing/gap.ts'
import { latestOf, minutesAfter } from './instants.ts'
import { medicineIdsOf } from './set-up-forecast.ts'
import type { ShiftSpan } from './shift-span.ts'
import type { NotPlanned, StayDose, WhyNotPlanned } from './stay.ts'

type Documents = DocumentsInForce['documents']
/** How long before the shift a dose may have been due and still be open [h]: no window reaches further. */
const LOOK_BACK_HOURS = 6

/** A dose that is still to be given in the shift. */
export type OpenDose = StayDose & {
  readonly visit: string
  readonly patientId: string
  readonly dueAt: string
  readonly window: { readonly earliest: string; readonly onTimeUntil: string; readonly latest: string }
  readonly priority: 1 | 2 | 3 | 4
  readonly gapMinutes: number
  readonly medicineIds: readonly string[]
  /** The last dose with the same medicine, where it holds this one back. */
  readonly heldBackBy: { readonly lastAt: string; readonly gapMinutes: number } | null
}

export type OpenDoses = { readonly doses: readonly OpenDose[]; readonly notPlanned: readonly NotPlanned[] }

/** Everything still to be given in a shift: scheduled doses that fall due in it or are still open, and open calls. */
export function openDoses(chart: Chart, documents: Documents, span: ShiftSpan, now: string): OpenDoses {
  const rules = {
    standardTimes: documents['standard-times'].content,
    windows: documents.windows.content,
    timeZone: documents.site.content.timeZone,
  }
  const from = minutesAfter(span.from, -60 * LOOK_BACK_HOURS)
  const lives = chart
    .orders()
    .map((order) => ({ ...order, dischargedAt: chart.patient(order.patientId).dischargedAt }))
  const due = allDosesDue(lives, rules, from, span.to)
  const waiting = dosesWithStatus(chart, due.doses, now).filter(({ status }) =>
    ['coming', 'due', 'late', 'missed'].includes(status),
  )
  const made = [
    ...waiting.flatMap((dose) => scheduled(chart, documents, dose, span, now) ?? []),
    ...openCalls(chart, now).map((call) => called(chart, documents, call, now)),
  ]
  const undecided = due.questions.flatMap(({ orderId, what, todo, doseAt }) => {
    const order = chart.order(orderId)
    if (!order || orderStatusAt(order, now) !== 'active') return []
    if (doseAt === undefined) return [named(order, null, { kind: 'no due times', what })]
    return [named(order, doseAt, { kind: 'to be decided', what, todo })]
  })
  return {
    doses: made.flatMap((each) => ('why' in each ? [] : [each])),
    notPlanned: [...undecided, ...made.flatMap((each) => ('why' in each ? [each] : []))],
  }
}

function named(order: OrderState, doseAt: string | null, why: WhyNotPlanned): NotPlanned {
  const { patientId, orderId } = order
  return { patientId, orderId, title: termsAt(order, doseAt ?? order.placedAt).title, doseAt, why }
}

type Waiting = ReturnType<typeof dosesWithStatus>[number]

function scheduled(
  chart: Chart,
  documents: Documents,
  dose: Waiting,
  span: ShiftSpan,
  now: string,
): OpenDose | NotPlanned | null {
  const order = chart.order(dose.orderId)
  if (!order) return null
  const policy = documents['planning-policy'].content
  const latest = dose.window.latest ?? minutesAfter(dose.window.onTimeUntil, policy.visits.lateAtMostMinutes)
  if (now > latest) {
    // What was missed in the shift before is that shift's to chart.
    return dose.doseAt < span.from ? null : named(order, dose.doseAt, { kind: 'missed', latest })
  }
  const unfit = unfitOrder(order, dose.doseAt)
  if (unfit) return named(order, dose.doseAt, unfit)
  const medicineIds = medicineIdsOf(termsAt(order, dose.doseAt))
  return held(chart, order, now, {
    visit: dose.key,
    orderId: dose.orderId,
    doseAt: dose.doseAt,
    callId: null,
    title: dose.title,
    patientId: dose.patientId,
    dueAt: dose.doseAt,
    window: { ...dose.window, latest },
    priority: priorityOf(dose, order, documents),
    gapMinutes: dose.minimumGapMinutes ?? 0,
    medicineIds,
    heldBackBy: null,
  })
}

/** The last dose of the same medicine, by any order, opens the window no earlier than the gap after it. */
function held(chart: Chart, order: OrderState, now: string, dose: OpenDose): OpenDose | NotPlanned {
  const lastAt = lastGivenAt(chart, dose.patientId, dose.medicineIds, now)
  if (lastAt === null) return dose
  const { gapMinutes } = dose
  const enoughFrom = minutesAfter(lastAt, gapMinutes)
  if (enoughFrom <= dose.window.earliest) return dose
  if (enoughFrom > dose.window.latest)
    return named(order, dose.doseAt, { kind: 'too soon after the last dose', lastAt, gapMinutes })
  const { onTimeUntil, latest } = dose.window
  return {
    ...dose,
    heldBackBy: { lastAt, gapMinutes },
    window: {
      earliest: enoughFrom,
      onTimeUntil: latestOf(onTimeUntil, enoughFrom),
      latest,
    },
  }
}

/** Why an order cannot be given as it stands. */
function unfitOrder(order: OrderState, at: string): WhyNotPlanned | null {
  const stop = openFindings(order).find(({ severity }) => severity === 'stop')
  if (stop) return { kind: 'waits for an answer', what: stop.what }
  const { medicines } = termsAt(order, at)
  const unknown = medicines.find(({ medicineId, part }) => part === 'medicine' && medicineId === null)
  if (unknown) return { kind: 'order incomplete', what: `${unknown.text} is not in the formulary` }
  const amountless = medicines.find(({ amountMin, part }) => part === 'medicine' && amountMin === null)
  return amountless ? { kind: 'order incomplete', what: `${amountless.text} has no amount` } : null
}

function priorityOf(dose: DueDose, order: OrderState, documents: Documents): OpenDose['priority'] {
  const { priorities } = documents['planning-policy'].content
  const ordered = termsAt(order, dose.doseAt).priority
  if (ordered === 'stat') return priorities.stat
  const byKind =
    dose.kind === 'scheduled'
      ? dose.class === 'exact'
        ? priorities.once
        : priorities[dose.class]
      : priorities[dose.kind]
  return ordered === 'asap' && byKind > priorities.asapAtMost ? priorities.asapAtMost : byKind
}

/** A call for an as-needed dose that nobody has answered yet. */
export type OpenCall = {
  readonly callId: string
  readonly orderId: string
  readonly calledAt: string
  readonly need: 'now' | 'soon' | 'when you can'
  readonly from: string
}

/** Calls that no visit of the order has answered, and that were not charted as not given, oldest first. */
export function openCalls(chart: Chart, now: string): OpenCall[] {
  return chart.orders().flatMap((order) => {
    const facts = chart.factsAbout('order', order.orderId)
    return facts
      .flatMap((fact) => (fact.kind === 'call-received' && fact.happenedAt <= now ? [fact] : []))
      .filter((call) => !facts.some((fact) => answers(fact, call.happenedAt)))
      .sort((a, b) => (a.id < b.id ? -1 : 1))
      .map(({ id, happenedAt, body }) => ({
        callId: id,
        orderId: order.orderId,
        calledAt: happenedAt,
        need: body.need,
        from: body.from,
      }))
  })
}

function answers(fact: ReturnType<Chart['factsAbout']>[number], calledAt: string): boolean {
  if (fact.kind !== 'visit-opened' && fact.kind !== 'dose-not-given') return false
  return fact.body.doseAt === null && fact.happenedAt >= calledAt
}

function called(chart: Chart, documents: Documents, call: OpenCall, now: string): OpenDose | NotPlanned {
  const order = chart.order(call.orderId) as OrderState
  const terms = termsAt(order, now)
  const unfit = unfitOrder(order, now)
  if (unfit) return named(order, null, unfit)
  const policy = documents['planning-policy'].content
  const medicineIds = medicineIdsOf(terms)
  const lastAt = lastGivenAt(chart, order.patientId, medicineIds, now)
  const gapMinutes = prnGapMinutes(terms)
  const available = prnAvailableAt(lastAt, gapMinutes)
  if (available.kind === 'ask') return named(order, null, { kind: 'ask how soon it may be repeated' })
  const from = available.kind === 'from' && available.at > call.calledAt ? available.at : call.calledAt
  const onTimeUntil = minutesAfter(from, policy.callsOnTimeWithinMinutes[call.need])
  const latest = minutesAfter(latestOf(onTimeUntil, now), policy.visits.lateAtMostMinutes)
  return {
    visit: doseKey(call.orderId, call.callId),
    orderId: call.orderId,
    doseAt: null,
    callId: call.callId,
    title: terms.title,
    patientId: order.patientId,
    dueAt: from,
    window: { earliest: from, onTimeUntil, latest },
    priority: policy.priorities.call[call.need],
    gapMinutes: gapMinutes ?? 0,
    medicineIds,
    heldBackBy: lastAt !== null && from > call.calledAt ? { lastAt, gapMinutes: gapMinutes ?? 0 } : null,
  }
}
