import { at } from './at.ts'
import { endNode, startNode } from './flat.ts'
import { GrowingInts } from './growing-ints.ts'
import { afterAway, beforeAway, latenessAt, NOWHERE, PlanTables, SLICES } from './plan-tables.ts'

/**
 * Keeps times right while routes change. Earliest starts run forward along routes and gaps until nothing changes;
 * the latest starts `free` and `hard` run backward the same way. Because every cost grows with time, the
 * earliest-start schedule is the best one for given sequences.
 */
export class PlanTimes extends PlanTables {
  /** True when the last change made the plan impossible (a circle of gaps). Never true of an accepted plan. */
  broken = false

  protected readonly stale = new Int32Array(this.p.routes)
  /** Nodes whose earliest start must be looked at again. */
  protected readonly forward = new GrowingInts()
  /** Pairs of nodes: recompute latest starts from the first back to the second, and on while they change. */
  protected readonly backward = new GrowingInts()
  private stamps = 1

  /** Recomputes all times of the stale routes, and whatever depends on them. */
  protected settleWhole(): void {
    const { routes } = this.p
    for (let k = 0; k < routes; k++) if (at(this.stale, k) === 1) this.forwardWhole(k)
    while (this.forward.length > 0) this.forwardFrom(this.forward.pop())
    this.broken = false // taking visits out cannot break a plan; times on the way down may look so
    for (let k = 0; k < routes; k++) {
      if (at(this.stale, k) === 0) continue
      this.stale[k] = 0
      this.backwardWhole(k)
    }
    this.runBackward()
  }

  /** Brings times up to date from the nodes listed in `forward` and `backward`. */
  protected settleListed(): void {
    this.broken = false
    this.runForward()
    if (!this.broken) this.runBackward()
    this.backward.length = 0
  }

  protected touch(k: number): void {
    this.stamp[k] = this.stamps
    this.stamps = (this.stamps + 1) | 0
  }

  /** Latest starts are to be recomputed from the first node back to the second. */
  protected again(from: number, until: number): void {
    this.backward.push(from)
    this.backward.push(until)
  }

  private forwardWhole(k: number): void {
    for (let b = at(this.next, startNode(this.p, k)); b >= 0; b = at(this.next, b)) this.forwardStep(k, b)
  }

  private runForward(): void {
    const { forward } = this
    while (forward.length > 0 && !this.broken) this.forwardFrom(forward.pop())
    forward.length = 0
  }

  private forwardFrom(node: number): void {
    const k = at(this.route, node)
    if (k < 0) return
    let lastChanged = -1
    for (let b = node; b >= 0 && this.forwardStep(k, b); b = at(this.next, b)) lastChanged = b
    if (lastChanged < 0) return
    this.touch(k)
    if (at(this.stale, k) === 0) this.again(lastChanged, node)
  }

  /** Recomputes the earliest start of b; true if it changed. */
  private forwardStep(k: number, b: number): boolean {
    const { p, start } = this
    const a = at(this.prev, b)
    let t = at(start, a) + at(p.duration, a) + at(p.walk, a * p.nodes + b)
    if (t < at(p.early, b)) t = at(p.early, b)
    if (b < p.visits) {
      const before = at(this.dosePrev, b)
      if (before >= 0) {
        const released = at(start, before) + at(p.gap, at(p.group, b))
        if (released > t) t = released
      }
      if (at(p.awayAt, b) !== at(p.awayAt, b + 1)) t = afterAway(p, b, t)
    }
    const old = at(start, b)
    if (t === old) return false
    if (t > at(p.last, b)) this.broken = true // the insertion is taken back by the caller
    start[b] = t
    const freeUntil = at(p.freeUntil, b)
    if (t > freeUntil || old > freeUntil)
      this.routeCost[k] = at(this.routeCost, k) + latenessAt(p, b, t) - latenessAt(p, b, old)
    const after = at(this.doseNext, b)
    if (after >= 0) this.forward.push(after)
    return true
  }

  private backwardWhole(k: number): void {
    this.touch(k)
    const { p } = this
    const end = endNode(p, k)
    this.free[end] = at(p.last, end)
    this.hard[end] = at(p.last, end)
    this.freeRate[end] = 0
    let slice = SLICES - 1
    let b = end
    for (let a = at(this.prev, end); at(this.prev, a) >= 0; a = at(this.prev, a)) {
      this.backwardStep(a, b)
      slice = this.markSlices(k, slice, at(this.hard, a), b)
      b = a
    }
    this.markSlices(k, slice, NOWHERE, b)
  }

  /** Fills the slices after time `hard`, up to `slice`, with stop b; gives the next slice to fill. */
  private markSlices(k: number, slice: number, hard: number, b: number): number {
    let s = slice
    for (; s >= 0 && s << this.sliceShift > hard; s--) this.reachable[k * SLICES + s] = b
    return s
  }

  private runBackward(): void {
    const { backward } = this
    while (backward.length > 0) {
      const until = backward.pop()
      const from = backward.pop()
      this.backwardFrom(from, until)
    }
  }

  private backwardFrom(from: number, until: number): void {
    const k = at(this.route, from)
    if (k < 0) return
    let due = true
    let changed = false
    for (let a = from; at(this.prev, a) >= 0; a = at(this.prev, a)) {
      const b = at(this.next, a)
      const changes = b >= 0 && this.backwardStep(a, b)
      if (changes) changed = true
      if (a === until) due = false
      if (!due && !changes) break
    }
    if (changed) this.touch(k)
  }

  /** Recomputes `free` and `hard` of a from its next stop b and its patient's next dose; true if either changed. */
  private backwardStep(a: number, b: number): boolean {
    const { p, free, hard, freeRate } = this
    const reach = at(p.duration, a) + at(p.walk, a * p.nodes + b)
    let own = at(p.freeUntil, a)
    const now = at(this.start, a)
    if (now > own) own = now
    let freeOf = at(free, b) - reach
    let rate = at(freeRate, b)
    let hardOf = at(hard, b) - reach
    if (own < freeOf) {
      freeOf = own
      rate = at(p.freeRate, a)
    }
    if (at(p.last, a) < hardOf) hardOf = at(p.last, a)
    if (a < p.visits) {
      const after = at(this.doseNext, a)
      if (after >= 0) {
        const gap = at(p.gap, at(p.group, a))
        if (at(free, after) - gap < freeOf) {
          freeOf = at(free, after) - gap
          rate = at(freeRate, after)
        }
        if (at(hard, after) - gap < hardOf) hardOf = at(hard, after) - gap
      }
      if (at(p.awayAt, a) !== at(p.awayAt, a + 1)) {
        freeOf = beforeAway(p, a, freeOf)
        hardOf = beforeAway(p, a, hardOf)
        rate = 0
      }
    }
    if (freeOf === at(free, a) && hardOf === at(hard, a) && rate === at(freeRate, a)) return false
    free[a] = freeOf
    hard[a] = hardOf
    freeRate[a] = rate
    const before = at(this.dosePrev, a)
    if (before >= 0 && at(this.stale, at(this.route, before)) === 0) this.again(before, before)
    return true
  }
}
