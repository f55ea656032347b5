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
  private round = 0

  constructor(state: PlanState, random: Random, orders: readonly RepairOrder[], blink: number) {
    this.state = state
    this.random = random
    this.orders = orders
    this.blink = blink
    this.weightSum = orders.reduce((sum, order) => sum + order.weight, 0)
    this.insertion = new Insertion(state)
    this.absent = new Int32Array(state.p.visits)
    this.sortKey = new Int32Array(state.p.visits)
    this.tried = new Int32Array(state.p.visits)
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

  /** The therapist to whom all missing doses of patient g go at the least cost, −1 if leaving them out is cheaper. */
  private bestTherapist(g: number): number {
    const { state, insertion, random } = this
    const { p } = state
    const known = state.therapistsOf(g) > 0
    const most = p.loadWeight > 0 ? state.maxLoad() : 0
    let best = NO_PLACE
    let bestRoute = -1
    for (let k = 0; k < p.routes; k++) {
      if (this.blink > 0 && random.unit() < this.blink) continue
      let cost = known && at(state.seen, g * p.routes + k) === 0 ? p.handover : 0
      let load = at(state.load, k)
      for (let i = at(p.doseFrom, g); i < at(p.doseFrom, g + 1); i++) {
        const v = at(p.doses, i)
        if (at(state.route, v) >= 0) continue
        const here = at(p.allowed, v * p.routes + k) === 0 ? NO_PLACE : insertion.look(v, k)
        const drop = at(p.drop, v)
        if (here < drop) load += at(p.duration, v) + insertion.walkAdded(v, k)
        cost += Math.min(here, drop)
      }
      if (load > most) cost += p.loadWeight * (load - most)
      if (cost < best) {
        best = cost
        bestRoute = k
      }
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
    const { state, insertion, random } = this
    const { p } = state
    const most = p.loadWeight > 0 ? state.maxLoad() : 0
    const another = insertion.another(v)
    let best = at(p.drop, v)
    let bestRoute = -1
    let emptyKind = -1
    for (let k = 0; k < p.routes; k++) {
      if (at(p.allowed, v * p.routes + k) === 0) continue
      if (at(state.size, k) === 0) {
        if (at(p.kind, k) === emptyKind) continue
        emptyKind = at(p.kind, k)
      }
      if (this.blink > 0 && random.unit() < this.blink) continue
      let cost = insertion.total(v, k, most, another)
      if (preferred >= 0 && k !== preferred && another === 0) cost += p.handover
      if (cost < best) {
        best = cost
        bestRoute = k
      }
    }
    if (bestRoute >= 0) this.put(v, insertion.place(v, bestRoute))
  }

  private put(v: number, after: number): void {
    this.state.insert(v, after)
    if (!this.state.broken) return
    this.state.remove(v)
    this.state.settleRemovals()
  }
}
