import { at } from './at.ts'
import type { PlanState } from './plan-state.ts'
import type { Random } from './random.ts'
import type { Recreate } from './recreate.ts'
import type { Ruin } from './ruin.ts'

/** First and last temperature, as multiples of the mean cost per visit of the best plan. */
export type Temperatures = { readonly hot: number; readonly cold: number }

/** Share of rounds that move whole patients when nothing is late or left out. */
const WHOLE_PATIENTS = 0.8
/** Share of the other rounds that take strings around one moment rather than around one place. */
const MOMENTS = 0.5

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
    const { hot, cold } = this.temperatures
    const temperature = (this.bestCost / Math.max(1, state.p.visits)) * hot * (cold / hot) ** share
    const wholePatients = patientShare(state, this.currentCost)
    for (let i = 0; i < rounds; i++) {
      this.disturb(wholePatients)
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

  private disturb(wholePatients: number): void {
    const { state, ruin, recreate, random } = this
    if (wholePatients > 0 && random.unit() < wholePatients) {
      ruin.patients()
      recreate.runByPatient()
      return
    }
    if (state.p.coupled && random.unit() < MOMENTS) ruin.moment()
    else ruin.strings()
    recreate.run()
  }
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
