import type { Chart } from './chart.ts'
import { clockQuestions } from './clock-questions.ts'
import { doseQuestions } from './dose-questions.ts'
import { noteQuestions } from './note-questions.ts'
import type { OrderState } from './order.ts'
import type { ShiftPlans } from './plans.ts'
import { ask, type Question } from './question.ts'

/** Every question that the facts raise about some orders, and about none in particular. */
export function questions(chart: Chart, orders: readonly OrderState[] = chart.orders()): Question[] {
  return [
    ...orders.flatMap((order) => [
      ...doseQuestions(chart, order),
      ...chart.visitsOf(order.orderId).flatMap((visit) => noteQuestions(chart, visit)),
    ]),
    ...clockQuestions(chart),
    ...chart.plannedShifts().flatMap(plansSideBySide),
    ...chart.plannedShifts().flatMap(pinsSideBySide),
  ]
}

/** Two plans made without each other: nobody is asked to guess which one holds. */
function plansSideBySide({ shiftId, contested }: ShiftPlans): Question[] {
  if (contested.length === 0) return []
  const key = `${shiftId}:${contested.map(({ planId }) => planId).join('+')}`
  const sides = contested.map(({ issuedBy, issuedAt, device }) => ({
    what: 'gave out a plan',
    at: issuedAt,
    personId: issuedBy,
    device,
  }))
  return [
    ask('plans side by side', { patientId: null, orderId: null, visitIds: [], key }, sides, {
      title: `${contested.length} plans of one shift`,
      what: 'Plans were given out, each without knowing of the other. Talk, then give one out on the floor view; until then the last plan that both follow holds.',
    }),
  ]
}

/** Two people placed one visit differently, each without knowing of the other: the later counts, and that is said. */
function pinsSideBySide({ pinsApart }: ShiftPlans): Question[] {
  return pinsApart.flatMap((pins) => {
    const [first] = pins
    if (!first) return []
    const { patientId, doses } = first
    const key = pins.map(({ pinId }) => pinId).join('+')
    const sides = pins.map(({ at, by, device, personId, startAt }) => ({
      what: 'placed the visit with',
      placed: { personId, startAt },
      at,
      personId: by,
      device,
    }))
    return [
      ask('pins side by side', { patientId, orderId: doses[0]?.orderId ?? null, visitIds: [], key }, sides, {
        title: 'One visit, placed twice',
        what: 'Two people placed it differently, each without knowing of the other. The later counts. Press its time on the round, and place it again or take the pin off.',
      }),
    ]
  })
}
