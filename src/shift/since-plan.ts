import type { Chart } from '../chart/folds/chart.ts'
import type { AnyFact } from '../chart/registry.ts'
import type { ShiftProblem } from './problem.ts'

/** Kinds of facts that may ask for another plan. A visit's own course is not among them: it is what was planned. */
const EVENTS = [
  'call-received',
  'order-placed',
  'order-changed',
  'order-held',
  'order-released',
  'order-discontinued',
  'patient-away',
  'patient-back',
  'census-updated',
  'shift-assigned',
] as const

/** Something that happened in the shift after the plan in force was given out. */
export type Happening = Extract<AnyFact, { kind: (typeof EVENTS)[number] }>

/** What happened since the plan in force, of the patients and people of the shift, oldest first; nothing before one. */
export function sinceThePlan(
  chart: Chart,
  { plan, stays, done, notPlanned, crew }: ShiftProblem,
): Happening[] {
  if (plan === null) return []
  const patients = [...stays, ...done, ...notPlanned, ...plannedFor(plan)].map(({ patientId }) => patientId)
  const facts = [
    ...[...new Set(patients)].flatMap((id) => chart.factsAbout('patient', id)),
    ...crew.flatMap(({ personId }) => chart.factsAbout('person', personId)),
  ]
  return facts
    .filter((fact): fact is Happening => EVENTS.includes(fact.kind as Happening['kind']))
    .filter(({ happenedAt }) => happenedAt > plan.issuedAt)
    .sort((a, b) =>
      a.happenedAt < b.happenedAt ? -1 : a.happenedAt > b.happenedAt ? 1 : a.id < b.id ? -1 : 1,
    )
}

/** Patients of the plan itself: one who was discharged since has no stay any more. */
function plannedFor({ routes }: NonNullable<ShiftProblem['plan']>): { readonly patientId: string }[] {
  return routes.flatMap(({ stops }) => stops.flatMap((stop) => (stop.kind === 'visit' ? [stop] : [])))
}
