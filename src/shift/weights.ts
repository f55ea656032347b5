import type { PlanningPolicy } from '../chart/documents/planning-policy.ts'
import type { Weights } from '../rounds/index.ts'

type ByPriority = PlanningPolicy['weights']['leftOut']

/** The department's weights as the planner reads them. */
export function weightsOf({ weights, promises }: PlanningPolicy): Weights {
  return {
    drop: byPriority(weights.leftOut),
    latePerMinute: byPriority(weights.latePerMinute),
    isolation: weights.isolationOrder.points.map((row) => [...row]),
    handover: weights.handover,
    walk: weights.walkPerMinute,
    maxLoad: weights.largestLoadPerMinute,
    reassign: weights.otherTherapist,
    postponePerMinute: weights.laterThanPromisedPerMinute,
    promiseTolerance: promises.toleranceMinutes,
  }
}

function byPriority(by: ByPriority): [number, number, number, number] {
  return [by['1'], by['2'], by['3'], by['4']]
}
