import type { OrderState } from '../folds/order.ts'
import type { PatientState } from '../folds/patient.ts'
import type { VisitState } from '../folds/visit.ts'

/** The parts of a visit, in the order in which they must be done. */
export const STAGES = ['door', 'identify', 'measure', 'prepare', 'set up', 'give', 'after', 'chart'] as const
export type StageName = (typeof STAGES)[number]

/** Something a stage asks for before the next may begin. */
export type Demand = {
  readonly code: string
  /** What is asked, in words that a button or a message can show. */
  readonly what: string
  readonly met: boolean
}

/** What stages look at: the visit itself, and what the chart says around it. */
export type StageContext = {
  readonly visit: VisitState
  readonly patient: PatientState
  readonly order: OrderState
  readonly now: string
}

/** A stage: what it demands, and the one line it folds to when done. */
export type Stage = {
  readonly name: StageName
  readonly title: string
  readonly demands: (context: StageContext) => readonly Demand[]
  readonly line: (context: StageContext) => string
}
