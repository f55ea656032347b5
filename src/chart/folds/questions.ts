import type { Chart } from './chart.ts'
import { clockQuestions } from './clock-questions.ts'
import { doseQuestions } from './dose-questions.ts'
import { noteQuestions } from './note-questions.ts'
import type { ShiftPlans } from './plans.ts'
import { ask, type Question } from './question.ts'

/** Every question that the facts raise. */
export function questions(chart: Chart): Question[] {
  return [
    ...chart
      .orders()
      .flatMap((order) => [
        ...doseQuestions(chart, order),
        ...chart.visitsOf(order.orderId).flatMap((visit) => noteQuestions(chart, visit)),
      ]),
    ...clockQuestions(chart),
    ...chart.plannedShifts().flatMap(plansSideBySide),
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
      what: 'Plans were given out, each without knowing of the other. Choose one on the floor view; until then the last plan that both follow holds.',
    }),
  ]
}
