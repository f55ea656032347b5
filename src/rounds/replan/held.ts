import type { Compiled } from '../compile.ts'
import { at } from '../engine/at.ts'
import { startNode } from '../engine/flat.ts'
import type { PlanState } from '../engine/plan-state.ts'
import { afterAway } from '../engine/plan-tables.ts'
import { topological } from '../engine/topological.ts'
import { type PricedPlan, pricedState, priceStops } from '../evaluate.ts'
import type { PromisedVisit, Visit } from '../model.ts'
import type { Stop } from '../standing.ts'

/**
 * The plan with its price, each visit held near the start that was promised: no earlier than the promise less the
 * tolerance, as far as waiting costs nothing anywhere in the plan. A visit that could begin earlier is so not brought
 * forward without need; one that cannot be held begins as early as it can.
 */
export function heldPlan(
  compiled: Compiled,
  state: PlanState,
  promised: readonly PromisedVisit[],
): PricedPlan {
  const { shift, standing, flat, visits } = compiled
  const earliest = pricedState(compiled, state)
  const starts = heldStarts(compiled, state, promised)
  const stops = state.routes().map((nodes, k): Stop[] => {
    const open = nodes.map((node) => {
      const start = at(starts, node)
      const visit = node < flat.visits ? (visits[node] as Visit).id : null
      return { visit, start, end: start + at(flat.duration, node) }
    })
    return [...(standing.therapists[k]?.done ?? []), ...open]
  })
  return { plan: earliest.plan, ...priceStops(shift, stops) }
}

/**
 * `free` and `hard` of a stop are the latest starts that cost nothing more and break nothing, through routes and gaps;
 * starting each stop no later than its own therefore keeps every later stop within its own.
 */
function heldStarts(compiled: Compiled, state: PlanState, promised: readonly PromisedVisit[]): Int32Array {
  const { flat, visits, shift } = compiled
  const promise = new Map(promised.map((item) => [item.visit, item.start]))
  const starts = state.start.slice()
  for (let k = 0; k < flat.routes; k++) starts[startNode(flat, k)] = at(flat.early, startNode(flat, k))
  for (const b of topological(state)) {
    const a = at(state.prev, b)
    const arrival = at(starts, a) + at(flat.duration, a) + at(flat.walk, a * flat.nodes + b)
    const dose = at(state.dosePrev, b)
    const released =
      b < flat.visits && dose >= 0 ? at(starts, dose) + at(flat.gap, at(flat.group, b)) : arrival
    const possible = Math.max(at(flat.early, b), arrival, released)
    starts[b] = b < flat.visits ? heldAt(possible, b) : possible
  }
  return starts

  function heldAt(possible: number, v: number): number {
    const soonest = afterAway(flat, v, possible)
    const shown = promise.get((visits[v] as Visit).id)
    if (shown === undefined) return soonest
    const wish = Math.min(shown - shift.weights.promiseTolerance, at(state.free, v), at(state.hard, v))
    return wish > soonest && afterAway(flat, v, wish) === wish ? wish : soonest
  }
}
