import type { AnyFact } from '../registry.ts'
import type { Chart } from './chart.ts'
import { type OrderState, orderStatusAt, termsAt } from './order.ts'
import { ask, type Question, side, trueInstant } from './question.ts'
import { standing } from './standing.ts'
import { isOver, type VisitState } from './visit.ts'

type Start = Extract<AnyFact, { kind: 'treatment-started' }>
type NotGiven = Extract<AnyFact, { kind: 'dose-not-given' }>
type Begun = { readonly visit: VisitState; readonly start: Start; readonly trueAt: string }

/** A door that was checked so shortly after a start may have known of it by its minute only [min]. Design rule. */
const DOOR_MINUTES = 2

/** Doses of one order that two people gave, have in hand, or charted against each other; and what was given after a stop. */
export function doseQuestions(chart: Chart, order: OrderState): Question[] {
  const visits = chart.visitsOf(order.orderId)
  const begun = visits
    .flatMap((visit) => startsOf(chart, visit))
    .sort((a, b) =>
      a.trueAt === b.trueAt ? (a.start.id < b.start.id ? -1 : 1) : a.trueAt < b.trueAt ? -1 : 1,
    )
  return [
    ...givenTwice(begun),
    ...calledTwice(order, begun),
    ...inTwoHands(chart, visits),
    ...givenAndNotGiven(chart, order, begun),
    ...begun.flatMap((each) => givenAfterStop(chart, order, each)),
  ]
}

function startsOf(chart: Chart, visit: VisitState): Begun[] {
  return standing(chart.factsAbout('visit', visit.visitId)).flatMap((fact) =>
    fact.kind === 'treatment-started'
      ? [{ visit, start: fact, trueAt: trueInstant(chart, fact.id, fact.happenedAt) }]
      : [],
  )
}

/** Each start of a scheduled dose, and of a visit, beside the first one: two on one device are one slip of the finger. */
function givenTwice(begun: readonly Begun[]): Question[] {
  return begun.flatMap((second, index) => {
    const first = begun
      .slice(0, index)
      .find(({ visit }) =>
        visit.visitId === second.visit.visitId
          ? true
          : visit.doseAt !== null && visit.doseAt === second.visit.doseAt,
      )
    if (!first) return []
    const sameVisit = first.visit.visitId === second.visit.visitId
    if (sameVisit && first.start.device === second.start.device) return []
    return [
      twice(first, second, 'One dose was begun twice. Was it given twice? Tell the prescriber if it was.'),
    ]
  })
}

/** As-needed treatments closer than the order allows, where the later one was begun without knowing of the earlier. */
function calledTwice(order: OrderState, begun: readonly Begun[]): Question[] {
  return begun.flatMap((second, index) => {
    const first = begun[index - 1]
    const gapMinutes = termsAt(order, second.trueAt).prn?.minimumGapMinutes
    if (!first || !gapMinutes || first.visit.doseAt !== null || second.visit.doseAt !== null) return []
    if (first.visit.visitId === second.visit.visitId || knew(second.visit, first.start.happenedAt)) return []
    const apartMinutes = (Date.parse(second.trueAt) - Date.parse(first.trueAt)) / 60_000
    if (apartMinutes >= gapMinutes) return []
    return [
      twice(
        first,
        second,
        `As-needed treatments ${Math.round(apartMinutes)} min apart; the order says not closer than ${gapMinutes} min. The second was begun without knowing of the first. Look at the patient, tell the prescriber.`,
      ),
    ]
  })
}

function knew({ door }: VisitState, startedAt: string): boolean {
  const minutes = door?.body.minutesSinceLastDose
  if (!door || minutes === null || minutes === undefined) return false
  return Date.parse(door.at) - (minutes - DOOR_MINUTES) * 60_000 >= Date.parse(startedAt)
}

function twice(first: Begun, second: Begun, what: string): Question {
  const visitIds = [...new Set([first.visit.visitId, second.visit.visitId])]
  const sides = [first, second].map(({ start }) => side(start, 'began the treatment'))
  const key = visitIds.length > 1 ? visitIds.join('+') : `${first.start.id}+${second.start.id}`
  return ask('dose given twice', { ...about(second.visit), visitIds, key }, sides, {
    title: 'One dose, two treatments',
    what,
  })
}

/** A dose that somebody has begun or has in hand, and somebody else has in hand as well. */
function inTwoHands(chart: Chart, visits: readonly VisitState[]): Question[] {
  return visits.flatMap((second, index) => {
    if (second.doseAt === null || !isOpen(second)) return []
    const others = visits.filter(
      (each, at) => each.doseAt === second.doseAt && at !== index && !each.notGiven,
    )
    // Of two that are both only in hand, one question is enough.
    const first = others.find((each) => !isOpen(each) || visits.indexOf(each) < index)
    if (!first) return []
    const visitIds = [first.visitId, second.visitId]
    const sides = [first, second].flatMap((visit) => {
      const fact = chart.fact(visit.opened.factId)
      return fact ? [side(fact, isOpen(visit) ? 'has it in hand' : 'opened the visit that was begun')] : []
    })
    return [
      ask('dose in two hands', { ...about(second), visitIds, key: visitIds.join('+') }, sides, {
        title: 'One dose in two hands',
        what: 'Two people opened a visit for one dose. One goes on; the other charts it as not given, “given by somebody else”.',
      }),
    ]
  })
}

function isOpen(visit: VisitState): boolean {
  return !isOver(visit) && visit.run.startedAt === null
}

/** Charted as not given by one, begun by another: unless it was tried again, or the one named the other. */
function givenAndNotGiven(chart: Chart, order: OrderState, begun: readonly Begun[]): Question[] {
  const refusals = standing(chart.factsAbout('order', order.orderId)).filter(
    (fact): fact is NotGiven =>
      fact.kind === 'dose-not-given' && fact.body.reason !== 'given by somebody else',
  )
  return refusals.flatMap((refusal) =>
    begun
      .filter(({ visit }) => isSameDose(visit, refusal))
      .filter(({ trueAt }) => {
        const isEarlier = trueInstant(chart, refusal.id, refusal.happenedAt) < trueAt
        return !(isEarlier && refusal.body.next === 'try again later')
      })
      .map(({ visit, start }) =>
        ask(
          'given and not given',
          { ...about(visit), visitIds: [visit.visitId], key: `${visit.visitId}+${refusal.id}` },
          [
            side(refusal, `charted it as not given: ${refusal.body.reason}`),
            side(start, 'began the treatment'),
          ],
          {
            title: 'Given, and charted as not given',
            what: 'One dose was begun by one person and charted as not given by another. Which is so?',
          },
        ),
      ),
  )
}

function isSameDose({ visitId, doseAt }: VisitState, { about: of, body }: NotGiven): boolean {
  // In one visit a dose that was begun and then charted as not given is told by the visit itself.
  if (of.visitId === visitId) return false
  return doseAt !== null && body.doseAt === doseAt
}

function givenAfterStop(chart: Chart, order: OrderState, { visit, start, trueAt }: Begun): Question[] {
  // A clock that was behind must not hide that the order had been stopped.
  const at = [trueAt, start.happenedAt].find((each) => isStopped(order, each))
  if (at === undefined) return []
  const status = orderStatusAt(order, at)
  const stop = standing(chart.factsAbout('order', order.orderId)).findLast(
    (fact) =>
      (fact.kind === 'order-discontinued' || fact.kind === 'order-held') && fact.body.effectiveAt <= at,
  )
  const stopped =
    stop && 'effectiveAt' in stop.body
      ? [{ ...side(stop, `order ${status}`), at: stop.body.effectiveAt as string }]
      : []
  return [
    ask(
      'given after stop',
      { ...about(visit), visitIds: [visit.visitId], key: visit.visitId },
      [...stopped, side(start, 'began the treatment')],
      {
        title: 'Given after the order was stopped',
        what: `The order was ${status} when the treatment was begun. The tablet may not have known. Look at the patient, tell the prescriber.`,
      },
    ),
  ]
}

function isStopped(order: OrderState, at: string): boolean {
  const status = orderStatusAt(order, at)
  return status === 'discontinued' || status === 'on hold'
}

function about({ patientId, orderId }: VisitState): Pick<Question, 'patientId' | 'orderId'> {
  return { patientId, orderId }
}
