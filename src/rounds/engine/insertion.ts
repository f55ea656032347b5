import { at } from './at.ts'
import { endNode, type FlatProblem, NEVER } from './flat.ts'
import type { PlanState } from './plan-state.ts'
import { afterAway, latenessAt } from './plan-tables.ts'

/** No place on the route takes the visit. */
export const NO_PLACE = NEVER

/**
 * Finds the cheapest place for a visit on a route, without changing the plan. Answers are kept until the route, or the
 * times of the patient's neighbouring doses, change; so an untouched route costs one look-up.
 */
export class Insertion {
  private readonly p: FlatProblem
  private readonly state: PlanState
  private readonly cost: Int32Array
  private readonly after: Int32Array
  private readonly longer: Int32Array
  private readonly stamp: Int32Array
  private readonly keys: Int32Array
  /** The visit in hand: the times between its patient's neighboring doses, and until when the later one is free. */
  private v = 0
  private early = 0
  private last = 0
  private freeDose = 0
  private doseAfter = -1
  private unseen = 0
  /** Places that push others past their limits: behind which node, when, at what cost, and at what cost at least. */
  private readonly pushAfter: Int32Array
  private readonly pushTime: Int32Array
  private readonly pushCost: Int32Array
  private readonly pushFloor: Int32Array

  constructor(state: PlanState) {
    this.state = state
    this.p = state.p
    const cells = this.p.visits * this.p.routes
    this.cost = new Int32Array(cells)
    this.after = new Int32Array(cells)
    this.longer = new Int32Array(cells)
    this.stamp = new Int32Array(cells)
    this.keys = new Int32Array(3 * cells)
    this.pushAfter = new Int32Array(this.p.nodes)
    this.pushTime = new Int32Array(this.p.nodes)
    this.pushCost = new Int32Array(this.p.nodes)
    this.pushFloor = new Int32Array(this.p.nodes)
  }

  /** Takes visit v (in no route) in hand; the questions below are about it. */
  take(v: number): void {
    const { p, state } = this
    this.v = v
    this.early = at(p.early, v)
    this.last = at(p.last, v)
    this.freeDose = NEVER
    this.doseAfter = -1
    this.unseen = 0
    if (!p.coupled) return
    const group = at(p.group, v)
    const gap = at(p.gap, group)
    const before = this.neighborDose(v, -1)
    if (before >= 0 && at(state.start, before) + gap > this.early) this.early = at(state.start, before) + gap
    const after = this.neighborDose(v, 1)
    this.doseAfter = after
    if (after >= 0) {
      if (at(state.hard, after) - gap < this.last) this.last = at(state.hard, after) - gap
      this.freeDose = at(state.free, after) - gap
    }
    if (p.handover > 0 && state.therapistsOf(group) > 0) this.unseen = p.handover
  }

  /** The nearest given dose of the same patient before (−1) or after (+1) visit v, −1 if none. */
  private neighborDose(v: number, step: number): number {
    const { p, state } = this
    const g = at(p.group, v)
    const low = at(p.doseFrom, g)
    const high = at(p.doseFrom, g + 1)
    for (let i = at(p.doseRank, v) + step; i >= low && i < high; i += step)
      if (at(state.route, at(p.doses, i)) >= 0) return at(p.doses, i)
    return -1
  }

  /** The node behind which the visit was found cheapest on route k. */
  place(k: number): number {
    return at(this.after, this.v * this.p.routes + k)
  }

  /** Minutes of walking that the place adds to the route. */
  walkAdded(k: number): number {
    return at(this.longer, this.v * this.p.routes + k)
  }

  /** What giving the visit on route k costs in hand-overs: nothing if nobody, or this route, has seen its patient. */
  another(k: number): number {
    if (this.unseen === 0 || at(this.state.seen, at(this.p.group, this.v) * this.p.routes + k) > 0) return 0
    return this.unseen
  }

  /** True while nobody has seen the visit's patient. */
  nobody(): boolean {
    return this.unseen === 0
  }

  /**
   * Cost at the cheapest place on route k with everything counted; NO_PLACE if nothing fits or nothing is below
   * `limit`. `most` is the largest load so far.
   */
  total(k: number, most: number, limit: number): number {
    const { p, state, v } = this
    if (at(state.quantity, k) + at(p.demand, v) > at(p.capacity, k)) return NO_PLACE
    const another = this.another(k)
    const cost = this.look(k, limit - another)
    if (cost === NO_PLACE) return NO_PLACE
    if (p.loadWeight === 0) return cost + another
    const load = at(state.load, k) + at(p.duration, v) + this.walkAdded(k)
    return cost + another + (load > most ? p.loadWeight * (load - most) : 0)
  }

  /**
   * Cost at the cheapest place on route k: walking, isolation order, lateness of the visit and of what it pushes, and
   * assignment; without hand-overs and balance. NO_PLACE if nothing fits or nothing is below `limit`.
   */
  look(k: number, limit: number): number {
    const { state } = this
    const cell = this.v * this.p.routes + k
    const keys = 3 * cell
    const known =
      at(this.stamp, cell) === at(state.stamp, k) &&
      at(this.keys, keys) === this.early &&
      at(this.keys, keys + 1) === this.last &&
      at(this.keys, keys + 2) === this.freeDose
    // A search that found nothing below its limit left that limit as cost, and no place.
    if (known && (at(this.after, cell) >= 0 || at(this.cost, cell) >= limit)) return this.answer(cell, limit)
    this.stamp[cell] = at(state.stamp, k)
    this.keys[keys] = this.early
    this.keys[keys + 1] = this.last
    this.keys[keys + 2] = this.freeDose
    this.scan(k, cell, limit)
    return this.answer(cell, limit)
  }

  private answer(cell: number, limit: number): number {
    return at(this.after, cell) >= 0 && at(this.cost, cell) < limit ? at(this.cost, cell) : NO_PLACE
  }

  /** Finds the cheapest place: first among those that push nothing past its limit, then among the others. */
  private scan(k: number, cell: number, limit: number): void {
    const { p, state, v, early, last, freeDose } = this
    const { nodes, walk, edge, walkInto, edgeInto, duration } = p
    const { next, start, free, freeRate, hard, onward } = state
    const away = at(p.awayAt, v) !== at(p.awayAt, v + 1)
    const stay = at(duration, v)
    const freeUntil = at(p.freeUntil, v)
    const row = v * nodes
    const assign = at(p.assign, cell)
    let best = limit - assign
    let bestAfter = -1
    let pushing = 0
    const end = endNode(p, k)
    let b = state.firstReachable(k, early + stay)
    for (let a = at(state.prev, b); a !== end; ) {
      const latest = at(hard, b) - stay - at(walk, row + b)
      if (latest >= early) {
        let t = at(start, a) + at(duration, a) + at(walkInto, row + a)
        if (t > last) break
        if (t < early) t = early
        if (away) t = afterAway(p, v, t)
        if (t <= latest && t <= last) {
          let c = at(edgeInto, row + a) + at(edge, row + b) - at(onward, a)
          if (t > freeUntil) c += latenessAt(p, v, t)
          if (c < best) {
            const over = t + stay + at(walk, row + b) - at(free, b)
            if (over <= 0 && t <= freeDose) {
              best = c
              bestAfter = a
            } else {
              this.pushAfter[pushing] = a
              this.pushTime[pushing] = t
              this.pushCost[pushing] = c
              this.pushFloor[pushing++] = c + (over > 0 ? over * at(freeRate, b) : 0)
            }
          }
        }
      }
      a = b
      b = at(next, b)
    }
    for (let i = 0; i < pushing; i++) {
      if (at(this.pushFloor, i) >= best) continue
      const c = this.withPushes(at(this.pushAfter, i), at(this.pushTime, i), at(this.pushCost, i), best)
      if (c >= best) continue
      best = c
      bestAfter = at(this.pushAfter, i)
    }
    this.cost[cell] = best + assign
    this.after[cell] = bestAfter
    this.longer[cell] = bestAfter < 0 ? 0 : this.detour(v, bestAfter)
  }

  /** Cost c of a place behind a at time t, with what it pushes past its limit; only its being below `best` is sure. */
  private withPushes(a: number, t: number, c: number, best: number): number {
    const { p, state, v } = this
    const b = at(state.next, a)
    const leave = t + at(p.duration, v) + at(p.walk, v * p.nodes + b)
    let cost = c
    if (leave > at(state.free, b)) cost += this.pushed(b, leave, best - cost)
    if (t > this.freeDose && cost < best)
      cost += this.pushed(this.doseAfter, t + at(p.gap, at(p.group, v)), best - cost)
    return cost
  }

  private detour(v: number, a: number): number {
    const { walk, walkInto, nodes } = this.p
    const b = at(this.state.next, a)
    return at(walkInto, v * nodes + a) + at(walk, v * nodes + b) - at(walk, a * nodes + b)
  }

  /** What it costs to push node `from` to time `at`, along its route; stops early once it reaches `limit`. */
  private pushed(from: number, time: number, limit: number): number {
    const { p, state } = this
    let t = time
    let cost = 0
    for (let b = from; b >= 0 && t > at(state.free, b); ) {
      const now = at(state.start, b)
      if (t > at(p.freeUntil, b)) cost += latenessAt(p, b, t) - latenessAt(p, b, now)
      if (cost >= limit) return cost
      const dose = at(state.doseNext, b)
      if (dose >= 0) {
        const released = t + at(p.gap, at(p.group, b))
        if (released > at(state.hard, dose)) return limit
        if (released > at(state.free, dose)) cost += this.pushed(dose, released, limit - cost)
        if (cost >= limit) return cost
      }
      const c = at(state.next, b)
      if (c < 0) break
      t += at(p.duration, b) + at(p.walk, b * p.nodes + c)
      b = c
    }
    return cost
  }
}
