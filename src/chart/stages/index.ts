import { after } from './after.ts'
import { chart } from './chart.ts'
import { door } from './door.ts'
import { give } from './give.ts'
import { identify } from './identify.ts'
import { measure } from './measure.ts'
import { prepare } from './prepare.ts'
import { setUp } from './set-up.ts'
import type { Demand, Stage, StageContext, StageName } from './stage.ts'

/** All stages, in the order in which they must be done. */
export const ALL_STAGES: readonly Stage[] = [door, identify, measure, prepare, setUp, give, after, chart]

export type StageView = {
  readonly name: StageName
  readonly title: string
  readonly done: boolean
  readonly line: string
  readonly open: readonly Demand[]
}

/** Every stage as the visit's screen shows it. */
export function viewStages(context: StageContext): StageView[] {
  return ALL_STAGES.map((stage) => {
    const open = stage.demands(context).filter((demand) => !demand.met)
    return { name: stage.name, title: stage.title, done: open.length === 0, line: stage.line(context), open }
  })
}

/** The stage to do now: the first that is not done. Null when all are. */
export function nextStage(context: StageContext): StageName | null {
  return viewStages(context).find((stage) => !stage.done)?.name ?? null
}
