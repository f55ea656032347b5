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

  constructor(state: PlanState) {
    this.state = state
    this.p = state.p
    const cells = this.p.visits * this.p.routes
    this.cost = new Int32Array(cells)
    this.after = new Int32Array(cells)
    this.longer = new Int32Array(cells)
    this.stamp = new Int32Array(cells)
    this.keys = new Int32Array(3 * cells)
  }

  /** The node behind which `look` found v cheapest on route k. */
  place(v: number, k: number): number {
    return at(this.after, v * this.p.routes + k)
  }

  /** Minutes of walking that the place adds to the route. */
  walkAdded(v: number, k: number): number {
    return at(this.longer, v * this.p.routes + k)
  }

  /**
   * Cost of v at its cheapest place on route k: walking, isolation order, its own lateness and what it makes late,
   * and the assignment cost; without hand-overs and balance. NO_PLACE when nothing fits.
   */
  look(v: number, k: number): number {
    const { p, state } = this
    const cell = v * p.routes + k
    let before = -1
    let after = -1
    if (p.coupled) {
      before = this.neighbourDose(v, -1)
      after = this.neighbourDose(v, 1)
    }
    const gap = at(p.gap, at(p.group, v))
    let early = at(p.early, v)
    let last = at(p.last, v)
    let freeDose = NEVER
    if (before >= 0 && at(state.start, before) + gap > early) early = at(state.start, before) + gap
    if (after >= 0) {
      if (at(state.hard, after) - gap < last) last = at(state.hard, after) - gap
      freeDose = at(state.free, after) - gap
    }
    const keys = 3 * cell
    if (
      at(this.stamp, cell) === at(state.stamp, k) &&
      at(this.keys, keys) === early &&
      at(this.keys, keys + 1) === last &&
      at(this.keys, keys + 2) === freeDose
    )
      return at(this.cost, cell)
    this.stamp[cell] = at(state.stamp, k)
    this.keys[keys] = early
    this.keys[keys + 1] = last
    this.keys[keys + 2] = freeDose
    this.scan(v, k, after)
    return at(this.cost, cell)
  }

  /**
   * Cost of v on route k with everything counted: `look`, `another` if the patient has not been seen on this route, and
   * what the largest load grows beyond `most`. NO_PLACE when nothing fits.
   */
  total(v: number, k: number, most: number, another: number): number {
    const { p, state } = this
    if (at(state.quantity, k) + at(p.demand, v) > at(p.capacity, k)) return NO_PLACE
    let cost = this.look(v, k)
    if (cost === NO_PLACE) return NO_PLACE
    if (p.loadWeight > 0) {
      const load = at(state.load, k) + at(p.duration, v) + this.walkAdded(v, k)
      if (load > most) cost += p.loadWeight * (load - most)
    }
    if (another === 0 || at(state.seen, at(p.group, v) * p.routes + k) > 0) return cost
    return cost + another
  }

  /** What giving v to a route that has not seen its patient costs: a hand-over, unless nobody has seen him yet. */
  another(v: number): number {
    if (this.p.handover === 0 || this.state.therapistsOf(at(this.p.group, v)) === 0) return 0
    return this.p.handover
  }

  /** The nearest given dose of the same patient before (−1) or after (+1) visit v, −1 if none. */
  private neighbourDose(v: number, step: number): number {
    const { p, state } = this
    const g = at(p.group, v)
    const low = at(p.doseFrom, g)
    const high = at(p.doseFrom, g + 1)
    for (let i = at(p.doseRank, v) + step; i >= low && i < high; i += step)
      if (at(state.route, at(p.doses, i)) >= 0) return at(p.doses, i)
    return -1
  }

  private scan(v: number, k: number, after: number): void {
    const { p, state } = this
    const { nodes, walk, edge, walkInto, edgeInto, duration } = p
    const { next, start, free, freeRate, hard, onward } = state
    const gap = at(p.gap, at(p.group, v))
    const away = at(p.awayAt, v) !== at(p.awayAt, v + 1)
    const stay = at(duration, v)
    const freeUntil = at(p.freeUntil, v)
    const cell = v * p.routes + k
    const early = at(this.keys, 3 * cell)
    const last = at(this.keys, 3 * cell + 1)
    const freeDose = at(this.keys, 3 * cell + 2)
    const row = v * nodes
    let best = NO_PLACE
    let bestAfter = -1
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
          if (c < best) {
            if (t > freeUntil) c += latenessAt(p, v, t)
            const over = t + stay + at(walk, row + b) - at(free, b)
            if (over > 0 && c + over * at(freeRate, b) < best)
              c += this.pushed(b, over + at(free, b), best - c)
            else if (over > 0) c = best
            if (t > freeDose && c < best) c += this.pushed(after, t + gap, best - c)
            if (c < best) {
              best = c
              bestAfter = a
            }
          }
        }
      }
      a = b
      b = at(next, b)
    }
    const bestLonger = best === NO_PLACE ? 0 : this.detour(v, bestAfter)
    this.cost[cell] = best === NO_PLACE ? NO_PLACE : best + at(p.assign, cell)
    this.after[cell] = bestAfter
    this.longer[cell] = bestLonger
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
