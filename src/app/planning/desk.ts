import type { Chart } from '../../chart/folds/chart.ts'
import type { Made } from './made-plan.ts'
import type { PlanningBase } from './planning-base.ts'

/** What answers are given from: the problem, the plan that is shown, and the record behind both. */
export type Desk = {
  readonly base: PlanningBase
  readonly made: Made
  readonly chart: Chart
}
