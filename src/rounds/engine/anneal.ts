import { at } from './at.ts'
import type { PlanState } from './plan-state.ts'
import type { Random } from './random.ts'
import type { Recreate } from './recreate.ts'
import type { Ruin } from './ruin.ts'

export type AnnealSettings = {
  /** First and last temperature, as multiples of the mean cost per visit of the best plan. */
  readonly hot: number
  readonly cold: number
  /** Share of the work done so far, given the round and the best cost; at 1 the search stops. */
  readonly progress: (iteration: number, bestCost: number) => number
}

/** The clock is asked once in so many rounds. */
const ASK_EVERY = 32
/** Share of rounds that move whole patients when nothing is late or left out. */
const WHOLE_PATIENTS = 0.8
/** Share of the other rounds that take strings around one moment rather than around one place. */
const MOMENTS = 0.5

/**
 * Ruin and recreate with annealing: worse plans are taken over with a chance that falls with the temperature. Leaves
 * the best plan found in the state and gives the rounds made.
 */
export function anneal(
  state: PlanState,
  ruin: Ruin,
  recreate: Recreate,
  random: Random,
  settings: AnnealSettings,
): number {
  const current = state.buffer.slice()
  const best = state.buffer.slice()
  let currentCost = state.cost()
  let bestCost = currentCost
  let temperature = 0
  let wholePatients = 0
  let iteration = 0
  for (; ; iteration++) {
    if (iteration % ASK_EVERY === 0) {
      const done = settings.progress(iteration, bestCost)
      if (done >= 1) break
      const perVisit = bestCost / Math.max(1, state.p.visits)
      temperature = perVisit * settings.hot * (settings.cold / settings.hot) ** done
      wholePatients = patientShare(state, currentCost)
    }
    disturb(ruin, recreate, random, wholePatients, state.p.coupled)
    const cost = state.cost()
    if (cost < currentCost - temperature * Math.log(random.unit())) {
      currentCost = cost
      current.set(state.buffer)
      if (cost < bestCost) {
        bestCost = cost
        best.set(state.buffer)
      }
    } else state.buffer.set(current)
  }
  state.buffer.set(best)
  return iteration
}

function disturb(
  ruin: Ruin,
  recreate: Recreate,
  random: Random,
  wholePatients: number,
  coupled: boolean,
): void {
  if (wholePatients > 0 && random.unit() < wholePatients) {
    ruin.patients()
    recreate.runByPatient()
    return
  }
  if (coupled && random.unit() < MOMENTS) ruin.moment()
  else ruin.strings()
  recreate.run()
}

/**
 * How often to move whole patients: often while hand-overs and walking decide, seldom while lateness and visits left
 * out do.
 */
function patientShare(state: PlanState, cost: number): number {
  const { p } = state
  if (p.handover === 0 || cost <= 0) return 0
  let edges = 0
  for (let k = 0; k < p.routes; k++) edges += routeEdges(state, k)
  const calm = (edges + p.loadWeight * state.maxLoad() + p.handover * at(state.totals, 1)) / cost
  return WHOLE_PATIENTS * Math.min(1, calm) ** 3
}

function routeEdges(state: PlanState, k: number): number {
  const { p } = state
  let sum = 0
  for (let a = p.visits + p.routes + k; at(state.next, a) >= 0; a = at(state.next, a))
    sum += at(state.onward, a)
  return sum
}
