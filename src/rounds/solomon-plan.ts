import { at } from './engine/at.ts'
import { PlanState } from './engine/plan-state.ts'
import { constructed, type Effort, improve } from './improve.ts'
import {
  compileSolomon,
  type SolomonConvention,
  type SolomonCustomer,
  type SolomonProblem,
  solomonDistance,
} from './solomon.ts'

/** Routes as customer numbers, without the depot. */
export type SolomonPlan = {
  readonly routes: readonly (readonly number[])[]
  readonly vehicles: number
  /** In the convention's own distances: truncated to one decimal, or double precision. */
  readonly distance: number
  /** Customers that no route serves; empty when the plan is complete. */
  readonly unserved: readonly number[]
}

/** Share of the effort spent on doing without one more vehicle, in the convention that counts vehicles first. */
const FLEET_SHARE = 0.5

/** Plans a Solomon problem under a convention: total distance only, or fewest vehicles first. */
export function planSolomon(
  problem: SolomonProblem,
  convention: SolomonConvention,
  options: { readonly seed: number; readonly effort: Effort },
): SolomonPlan {
  const first = constructed(compileSolomon(problem, convention))
  const [fleetEffort, routeEffort] = split(options.effort, convention === 'dimacs' ? 0 : FLEET_SHARE)
  const state =
    fleetEffort === null ? first : withFewerVehicles(problem, convention, first, options.seed, fleetEffort)
  improve(state, { seed: options.seed, effort: routeEffort })
  return planOf(problem, convention, state)
}

function split(effort: Effort, share: number): [Effort | null, Effort] {
  if (share === 0) return [null, effort]
  if ('iterations' in effort) {
    const first = Math.floor(effort.iterations * share)
    return [{ iterations: first }, { iterations: effort.iterations - first }]
  }
  const from = effort.now()
  return [{ now: effort.now, until: from + share * (effort.until - from) }, effort]
}

/** Takes one vehicle away after another as long as all customers can still be served. */
function withFewerVehicles(
  problem: SolomonProblem,
  convention: SolomonConvention,
  first: PlanState,
  seed: number,
  effort: Effort,
): PlanState {
  let best = first
  let rest = effort
  while (complete(best) && used(best) > 1) {
    const fewer = withoutShortest(problem, convention, best)
    const goal = at(fewer.p.drop, 0)
    let cost = fewer.cost()
    const rounds = improve(fewer, {
      seed,
      effort: rest,
      stop: () => cost < goal,
      progress: (_, value) => {
        cost = value
      },
    })
    if (!complete(fewer)) return best
    best = fewer
    if ('iterations' in rest) rest = { iterations: rest.iterations - rounds }
  }
  return best
}

function withoutShortest(
  problem: SolomonProblem,
  convention: SolomonConvention,
  state: PlanState,
): PlanState {
  const routes = visitsOf(state).filter((route) => route.length > 0)
  routes.sort((a, b) => b.length - a.length)
  const fewer = new PlanState(compileSolomon(problem, convention, routes.length - 1))
  fewer.setRoutes(routes.slice(0, -1))
  return fewer
}

function visitsOf(state: PlanState): number[][] {
  return state.routes().map((route) => route.filter((node) => node < state.p.visits))
}

const used = (state: PlanState): number => state.size.reduce((count, size) => count + (size > 0 ? 1 : 0), 0)

const complete = (state: PlanState): boolean => at(state.totals, 0) === 0

function planOf(problem: SolomonProblem, convention: SolomonConvention, state: PlanState): SolomonPlan {
  const routes = visitsOf(state)
    .filter((route) => route.length > 0)
    .map((route) => route.map((v) => v + 1))
  const served = new Set(routes.flat())
  const unserved = problem.rows
    .slice(1)
    .map((row) => row.id)
    .filter((id) => !served.has(id))
  return { routes, vehicles: routes.length, distance: solomonLength(problem, convention, routes), unserved }
}

/** Length of routes (customer numbers) in the convention's own distances; no window is checked. */
export function solomonLength(
  problem: SolomonProblem,
  convention: SolomonConvention,
  routes: readonly (readonly number[])[],
): number {
  const row = (id: number) => problem.rows[id] as SolomonCustomer
  const way = (a: SolomonCustomer, b: SolomonCustomer) =>
    convention === 'dimacs' ? solomonDistance(a, b, 'dimacs') : Math.hypot(a.x - b.x, a.y - b.y)
  let length = 0
  for (const route of routes) {
    const stops = [row(0), ...route.map(row), row(0)]
    for (let i = 1; i < stops.length; i++)
      length += way(stops[i - 1] as SolomonCustomer, stops[i] as SolomonCustomer)
  }
  return convention === 'dimacs' ? length / 10 : length
}
