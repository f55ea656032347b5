import { anneal } from './engine/anneal.ts'
import { construct } from './engine/construct.ts'
import type { FlatProblem } from './engine/flat.ts'
import { neighborsOf } from './engine/neighbors.ts'
import { PlanState } from './engine/plan-state.ts'
import { Random } from './engine/random.ts'
import { Recreate } from './engine/recreate.ts'
import { repairOrders } from './engine/repair-orders.ts'
import { Ruin } from './engine/ruin.ts'

/** How long to search: a number of rounds (repeatable), or until a clock that the caller reads passes a time. */
export type Effort = { readonly iterations: number } | { readonly now: () => number; readonly until: number }

export type ImproveOptions = {
  readonly seed: number
  readonly effort: Effort
  /** Asked every few dozen rounds; true ends the search with the best plan so far. */
  readonly stop?: () => boolean
  /** Told the share of the effort spent and the best cost so far, in cost units. */
  readonly progress?: (share: number, cost: number) => void
  /** Search temperatures as multiples of the mean cost per visit; lower `hot` stays nearer the given plan. */
  readonly hot?: number
  readonly cold?: number
}

/** Temperatures found by trial on the benchmark shifts and on Solomon's files; shifts have costs of many sizes. */
const SHIFT_HEAT = { hot: 4, cold: 0.08 }
const ROUTE_HEAT = { hot: 1.2, cold: 0.17 }
const NEIGHBORS = 100
const BLINK = 0.01
const RUIN = { average: 10, longest: 10, split: 0.5, lengthen: 0.01 }

/** An empty plan filled by construction: priority first, then regret. Milliseconds. */
export function constructed(flat: FlatProblem): PlanState {
  const state = new PlanState(flat)
  construct(state)
  return state
}

/**
 * Improves a plan in place by ruin and recreate with annealing. The same seed and number of iterations give the same
 * plan. Gives the number of rounds made. The plan is never worse than before.
 */
export function improve(state: PlanState, options: ImproveOptions): number {
  const { p } = state
  if (p.visits === 0 || p.routes === 0) return 0
  const heat = p.coupled ? SHIFT_HEAT : ROUTE_HEAT
  const random = new Random(options.seed)
  const recreate = new Recreate(state, random, repairOrders(p), BLINK)
  const ruin = new Ruin(state, neighborsOf(p, NEIGHBORS), random, RUIN)
  return anneal(state, ruin, recreate, random, {
    hot: options.hot ?? heat.hot,
    cold: options.cold ?? heat.cold,
    progress: progressOf(options),
  })
}

function progressOf({
  effort,
  stop,
  progress,
}: ImproveOptions): (iteration: number, bestCost: number) => number {
  const share = shareOf(effort)
  return (iteration, bestCost) => {
    const done = stop?.() ? 1 : share(iteration)
    progress?.(Math.min(1, done), bestCost)
    return done
  }
}

function shareOf(effort: Effort): (iteration: number) => number {
  if ('iterations' in effort)
    return (iteration) => (effort.iterations <= 0 ? 1 : iteration / effort.iterations)
  const from = effort.now()
  const span = effort.until - from
  return () => (span <= 0 ? 1 : (effort.now() - from) / span)
}
