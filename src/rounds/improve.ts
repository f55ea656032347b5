import { Annealing } from './engine/annealing.ts'
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

export type SearchOptions = {
  readonly seed: number
  readonly effort: Effort
  /** Search temperatures as multiples of the mean cost per visit; lower `hot` stays nearer the given plan. */
  readonly hot?: number
  readonly cold?: number
}

export type ImproveOptions = SearchOptions & {
  /** Asked every few dozen rounds; true ends the search with the best plan so far. */
  readonly stop?: () => boolean
  /** Told the share of the effort spent and the best cost so far, in cost units. */
  readonly progress?: (share: number, cost: number) => void
}

const HOT = 4
/** The last temperature as a share of the first, and where lateness and visits left out rule the cost. */
const COLD = 0.025
const STRAINED = 0.25
const NEIGHBORS = 100
const BLINK = 0.01
const RUIN = {
  average: 10,
  longest: 10,
  strainedAverage: 8,
  strainedLongest: 5,
  split: 0.5,
  lengthen: 0.01,
}
/** Rounds between two looks at the clock. */
const SLICE = 32

/** An empty plan filled by construction: priority first, then regret. Milliseconds. */
export function constructed(flat: FlatProblem): PlanState {
  const state = new PlanState(flat)
  construct(state)
  return state
}

/**
 * A search for a better plan in slices of a few milliseconds, for whoever must look up in between: a worker that
 * reports, stops, or takes in news.
 *
 *     const search = new PlanSearch(state, { seed, effort: { now: () => performance.now(), until } })
 *     while (search.step()) {
 *       if (search.cost < told) report(pricedState(compiled, state)) // between steps `state` holds the best plan
 *       await anythingWaiting() // to stop, just do not step again
 *     }
 *
 * News means another problem: compile it, put the plan in force into its state, start another search from there.
 * The same seed and number of rounds give the same plan, however the steps are spread.
 */
export class PlanSearch {
  /** Share of the effort spent, 0 to 1. */
  share = 0
  private readonly annealing: Annealing | null
  private readonly shareAt: (rounds: number) => number
  private readonly start: number

  constructor(state: PlanState, options: SearchOptions) {
    this.annealing = annealingOf(state, options)
    this.shareAt = shareOf(options.effort)
    this.start = state.cost()
  }

  /** Cost of the best plan so far, in cost units; never more than the plan started with. */
  get cost(): number {
    return this.annealing?.bestCost ?? this.start
  }

  get rounds(): number {
    return this.annealing?.rounds ?? 0
  }

  /** Searches on for a few dozen rounds. False once the effort is spent, or if there is nothing to plan. */
  step(): boolean {
    this.share = this.annealing === null ? 1 : Math.min(1, this.shareAt(this.rounds))
    if (this.share >= 1) return false
    this.annealing?.slice(SLICE, this.share)
    return true
  }
}

/**
 * Improves a plan in place by ruin and recreate with annealing until the effort is spent. The same seed and number of
 * iterations give the same plan. Gives the number of rounds made. The plan is never worse than before.
 */
export function improve(state: PlanState, options: ImproveOptions): number {
  const search = new PlanSearch(state, options)
  while (!options.stop?.() && search.step()) options.progress?.(search.share, search.cost)
  if (search.rounds > 0) options.progress?.(1, search.cost)
  return search.rounds
}

function annealingOf(state: PlanState, options: SearchOptions): Annealing | null {
  const { p } = state
  if (p.visits === 0 || p.routes === 0) return null
  const random = new Random(options.seed)
  const recreate = new Recreate(state, random, repairOrders(p), BLINK)
  const ruin = new Ruin(state, neighborsOf(p, NEIGHBORS), random, RUIN)
  const hot = options.hot ?? HOT
  return new Annealing(state, ruin, recreate, random, {
    hot,
    cold: options.cold ?? COLD * hot,
    strained: options.cold ?? STRAINED * hot,
  })
}

function shareOf(effort: Effort): (rounds: number) => number {
  if ('iterations' in effort) return (rounds) => (effort.iterations <= 0 ? 1 : rounds / effort.iterations)
  const from = effort.now()
  const span = effort.until - from
  return () => (span <= 0 ? 1 : (effort.now() - from) / span)
}
