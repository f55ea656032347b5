import { at } from './at.ts'
import { Insertion, NO_PLACE } from './insertion.ts'
import type { PlanState } from './plan-state.ts'
import type { Random } from './random.ts'
import type { RepairOrder } from './repair-orders.ts'

/** Puts visits that are out of the plan back at their cheapest places, or leaves them out if that is cheaper. */
export class Recreate {
  readonly insertion: Insertion
  private readonly state: PlanState
  private readonly random: Random
  private readonly orders: readonly RepairOrder[]
  private readonly weightSum: number
  private readonly blink: number
  private readonly absent: Int32Array
  private readonly sortKey: Int32Array
  private readonly tried: Int32Array
  private readonly sums: Int32Array
  private readonly loads: Int32Array
  private round = 0
  /** Looks at routes until the next one is skipped. */
  private untilBlink: number

  constructor(state: PlanState, random: Random, orders: readonly RepairOrder[], blink: number) {
    this.state = state
    this.random = random
    this.orders = orders
    this.blink = blink
    this.untilBlink = random.failures(blink)
    this.weightSum = orders.reduce((sum, order) => sum + order.weight, 0)
    this.insertion = new Insertion(state)
    this.absent = new Int32Array(state.p.visits)
    this.sortKey = new Int32Array(state.p.visits)
    this.tried = new Int32Array(state.p.visits)
    this.sums = new Int32Array(state.p.routes)
    this.loads = new Int32Array(state.p.routes)
  }

  run(): void {
    const count = this.collect()
    for (let i = 0; i < count; i++) this.insertBest(at(this.absent, i))
  }

  /** Puts visits back patient by patient, so that the doses of one patient go to one therapist where that pays. */
  runByPatient(): void {
    const count = this.collect()
    for (let i = 0; i < count; i++) {
      const v = at(this.absent, i)
      if (at(this.state.route, v) >= 0 || at(this.tried, v) === this.round) continue
      this.insertPatient(at(this.state.p.group, v))
    }
  }

  private insertPatient(g: number): void {
    const { state } = this
    const { p } = state
    const route = this.bestTherapist(g)
    for (let i = at(p.doseFrom, g); i < at(p.doseFrom, g + 1); i++) {
      const v = at(p.doses, i)
      if (at(state.route, v) >= 0) continue
      this.tried[v] = this.round
      this.insertBest(v, route)
    }
  }

  /** The therapist to whom all missing doses of patient g go at the least cost. */
  private bestTherapist(g: number): number {
    const { state, insertion, sums, loads } = this
    const { p } = state
    const known = state.therapistsOf(g) > 0
    for (let k = 0; k < p.routes; k++) {
      sums[k] = known && at(state.seen, g * p.routes + k) === 0 ? p.handover : 0
      loads[k] = at(state.load, k)
    }
    for (let i = at(p.doseFrom, g); i < at(p.doseFrom, g + 1); i++) {
      const v = at(p.doses, i)
      if (at(state.route, v) >= 0) continue
      insertion.take(v)
      const drop = at(p.drop, v)
      for (let k = 0; k < p.routes; k++) {
        const here = at(p.allowed, v * p.routes + k) === 0 ? NO_PLACE : insertion.look(k, drop)
        if (here === NO_PLACE) sums[k] = at(sums, k) + drop
        else {
          sums[k] = at(sums, k) + here
          loads[k] = at(loads, k) + at(p.duration, v) + insertion.walkAdded(k)
        }
      }
    }
    return this.leastSum()
  }

  /** True for a route that is skipped by chance. */
  private blinks(): boolean {
    if (this.untilBlink-- > 0) return false
    this.untilBlink = this.random.failures(this.blink)
    return true
  }

  private leastSum(): number {
    const { state, sums, loads } = this
    const { p } = state
    const most = p.loadWeight > 0 ? state.maxLoad() : 0
    let best = NO_PLACE
    let bestRoute = -1
    for (let k = 0; k < p.routes; k++) {
      if (this.blinks()) continue
      const cost = at(sums, k) + p.loadWeight * Math.max(0, at(loads, k) - most)
      if (cost >= best) continue
      best = cost
      bestRoute = k
    }
    return bestRoute
  }

  private collect(): number {
    const { state, random } = this
    this.round++
    let pick = random.unit() * this.weightSum
    let order = this.orders[0] as RepairOrder
    for (const candidate of this.orders) {
      order = candidate
      pick -= candidate.weight
      if (pick < 0) break
    }
    let count = 0
    for (let v = 0; v < state.p.visits; v++) {
      if (at(state.route, v) >= 0) continue
      const key = order.key === null ? random.bits() : at(order.key, v)
      let i = count++
      for (; i > 0 && at(this.sortKey, i - 1) > key; i--) {
        this.sortKey[i] = at(this.sortKey, i - 1)
        this.absent[i] = at(this.absent, i - 1)
      }
      this.sortKey[i] = key
      this.absent[i] = v
    }
    return count
  }

  /** Inserts v at its best place; where `preferred` is a route, another unseen therapist counts as a hand-over. */
  private insertBest(v: number, preferred = -1): void {
    const { state, insertion } = this
    const { p } = state
    const most = p.loadWeight > 0 ? state.maxLoad() : 0
    insertion.take(v)
    let best = at(p.drop, v)
    let bestRoute = -1
    let emptyKind = -1
    for (let k = 0; k < p.routes; k++) {
      if (at(p.allowed, v * p.routes + k) === 0) continue
      if (at(state.size, k) === 0) {
        if (at(p.kind, k) === emptyKind) continue
        emptyKind = at(p.kind, k)
      }
      if (this.blinks()) continue
      const extra = preferred >= 0 && k !== preferred && insertion.nobody() ? p.handover : 0
      const cost = insertion.total(k, most, best - extra)
      if (cost === NO_PLACE || cost + extra >= best) continue
      best = cost + extra
      bestRoute = k
    }
    if (bestRoute >= 0) this.put(v, insertion.place(bestRoute))
  }

  private put(v: number, after: number): void {
    this.state.insert(v, after)
    if (!this.state.broken) return
    this.state.remove(v)
    this.state.settleRemovals()
  }
}
