import { at } from './at.ts'
import type { PlanState } from './plan-state.ts'
import type { Random } from './random.ts'
import type { Recreate } from './recreate.ts'
import type { Ruin } from './ruin.ts'

/**
 * First and last temperature, as multiples of the mean cost per visit of the best plan. `strained` takes the place of
 * `cold` while lateness and visits left out make up most of the cost: prices per late minute come in coarser steps than
 * minutes of walking, and a search that is colder than its steps stands still.
 */
export type Temperatures = { readonly hot: number; readonly cold: number; readonly strained: number }

/** Share of rounds that move whole patients when nothing is late or left out. */
const WHOLE_PATIENTS = 0.8
/** Below this share of walking, balance and hand-overs in the cost, a plan is strained. */
const STRAINED_BELOW = 0.5
/** Share of rounds that empty a whole route, where routes do not depend on each other: fewer routes may be better. */
const WHOLE_ROUTES = 0.005
/** Share of the other rounds that take strings around one moment rather than around one place; the same while strained. */
const MOMENTS = 0.5
const STRAINED_MOMENTS = 0.15

/**
 * Ruin and recreate with annealing, in slices: worse plans are taken over with a chance that falls with the
 * temperature. Between slices the state holds the best plan found so far.
 */
export class Annealing {
  /** Rounds made so far, and the cost of the best plan found. */
  rounds = 0
  bestCost: number
  private readonly state: PlanState
  private readonly ruin: Ruin
  private readonly recreate: Recreate
  private readonly random: Random
  private readonly temperatures: Temperatures
  private readonly current: Int32Array
  private readonly best: Int32Array
  private currentCost: number

  constructor(state: PlanState, ruin: Ruin, recreate: Recreate, random: Random, temperatures: Temperatures) {
    this.state = state
    this.ruin = ruin
    this.recreate = recreate
    this.random = random
    this.temperatures = temperatures
    this.current = state.buffer.slice()
    this.best = state.buffer.slice()
    this.currentCost = state.cost()
    this.bestCost = this.currentCost
  }

  /** Makes so many rounds at the temperature that belongs to a share of the whole effort: 0 hottest, 1 coldest. */
  slice(rounds: number, share: number): void {
    const { state, current, random } = this
    state.buffer.set(current)
    const { hot, cold, strained } = this.temperatures
    const calm = calmShare(state, this.currentCost)
    const isStrained = calm < STRAINED_BELOW
    const last = isStrained ? strained : cold
    const temperature = (this.bestCost / Math.max(1, state.p.visits)) * hot * (last / hot) ** share
    const wholePatients = state.p.handover === 0 ? 0 : WHOLE_PATIENTS * calm ** 3
    this.ruin.isStrained = isStrained
    const moments = isStrained ? STRAINED_MOMENTS : MOMENTS
    for (let i = 0; i < rounds; i++) {
      this.disturb(wholePatients, moments)
      const cost = state.cost()
      if (cost < this.currentCost - temperature * Math.log(random.unit())) {
        this.currentCost = cost
        current.set(state.buffer)
        if (cost < this.bestCost) {
          this.bestCost = cost
          this.best.set(state.buffer)
        }
      } else state.buffer.set(current)
    }
    this.rounds += rounds
    state.buffer.set(this.best)
  }

  private disturb(wholePatients: number, moments: number): void {
    const { state, ruin, recreate, random } = this
    if (wholePatients > 0 && random.unit() < wholePatients) {
      ruin.patients()
      recreate.runByPatient()
      return
    }
    if (!state.p.coupled && random.unit() < WHOLE_ROUTES) ruin.wholeRoute()
    else if (state.p.coupled && random.unit() < moments) ruin.moment()
    else ruin.strings()
    recreate.run()
  }
}

/**
 * The share of the cost that is walking, isolation order, balance and hand-overs, not lateness and visits left out.
 * Whole patients are moved often where it is large.
 */
function calmShare(state: PlanState, cost: number): number {
  const { p } = state
  if (cost <= 0) return 1
  let edges = 0
  for (let k = 0; k < p.routes; k++) edges += routeEdges(state, k)
  return Math.min(1, (edges + p.loadWeight * state.maxLoad() + p.handover * at(state.totals, 1)) / cost)
}

function routeEdges(state: PlanState, k: number): number {
  const { p } = state
  let sum = 0
  for (let a = p.visits + p.routes + k; at(state.next, a) >= 0; a = at(state.next, a))
    sum += at(state.onward, a)
  return sum
}
