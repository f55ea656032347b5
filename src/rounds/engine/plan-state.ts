import { at } from './at.ts'
import { breakNode, endNode, type FlatProblem, startNode } from './flat.ts'
import { latenessAt, NOWHERE, SLICES } from './plan-tables.ts'
import { PlanTimes } from './plan-times.ts'

/** A plan under change: visits are put in and taken out, and costs and times follow. */
export class PlanState extends PlanTimes {
  constructor(p: FlatProblem) {
    super(p)
    this.clear()
  }

  /** Empties every route (breaks stay) and leaves every visit out. */
  clear(): void {
    const { p } = this
    this.route.fill(-1)
    this.start.fill(NOWHERE)
    this.dosePrev.fill(-1)
    this.doseNext.fill(-1)
    if (this.seen.length > 0) this.seen.set(p.seenBefore)
    this.totals[0] = p.drop.reduce((sum, cost) => sum + cost, 0)
    this.totals[1] = this.handoversBefore()
    for (let k = 0; k < p.routes; k++) this.clearRoute(k)
    this.stale.fill(1)
    this.settleWhole()
  }

  private handoversBefore(): number {
    if (this.seen.length === 0) return 0
    let handovers = 0
    for (let g = 0; g < this.p.groups; g++) handovers += Math.max(0, this.therapistsOf(g) - 1)
    return handovers
  }

  private clearRoute(k: number): void {
    const { p } = this
    const start = startNode(p, k)
    const end = endNode(p, k)
    const stops = at(p.hasBreak, k) === 1 ? [start, breakNode(p, k), end] : [start, end]
    this.routeCost[k] = 0
    this.load[k] = at(p.loadBefore, k)
    this.quantity[k] = 0
    this.size[k] = 0
    stops.forEach((node, i) => {
      this.route[node] = k
      this.start[node] = i === 0 ? at(p.early, node) : NOWHERE
      this.prev[node] = stops[i - 1] ?? -1
      this.next[node] = stops[i + 1] ?? -1
      if (i > 0) this.countEdge(k, stops[i - 1] as number, node, 1)
    })
  }

  /**
   * Takes over whole routes: per route the visits in order, and `breakNode` where the break is (first if missing).
   * Gives false, with the visits placed so far in place, if the plan breaks a hard rule.
   */
  setRoutes(routes: readonly (readonly number[])[]): boolean {
    this.clear()
    for (let k = 0; k < routes.length; k++) {
      let after = startNode(this.p, k)
      for (const node of routes[k] as readonly number[]) {
        if (node < this.p.visits) this.insert(node, after)
        if (this.broken) return false
        after = node
      }
    }
    return true
  }

  /** The routes as lists of nodes: visits, and the break where there is one. */
  routes(): number[][] {
    const { p } = this
    return Array.from({ length: p.routes }, (_, k) => {
      const list: number[] = []
      for (let b = at(this.next, startNode(p, k)); b !== endNode(p, k); b = at(this.next, b)) list.push(b)
      return list
    })
  }

  /** Puts visit v behind node a and brings all times up to date. Look at `broken` afterwards. */
  insert(v: number, a: number): void {
    const k = at(this.route, a)
    const b = at(this.next, a)
    this.link(v, a, b, k)
    this.touch(k)
    this.again(v, a)
    const before = at(this.dosePrev, v)
    if (before >= 0) this.again(before, before)
    const after = at(this.doseNext, v)
    if (after >= 0) this.forward.push(after)
    this.forward.push(v)
    this.settleListed()
    this.shareSlices(k, v, b)
  }

  private link(v: number, a: number, b: number, k: number): void {
    const { p } = this
    this.next[a] = v
    this.prev[v] = a
    this.next[v] = b
    this.prev[b] = v
    this.route[v] = k
    this.start[v] = NOWHERE
    this.countEdge(k, a, b, -1)
    this.countEdge(k, a, v, 1)
    this.countEdge(k, v, b, 1)
    this.routeCost[k] = at(this.routeCost, k) + at(p.assign, v * p.routes + k)
    this.load[k] = at(this.load, k) + at(p.duration, v)
    this.quantity[k] = at(this.quantity, k) + at(p.demand, v)
    this.size[k] = at(this.size, k) + 1
    this.totals[0] = at(this.totals, 0) - at(p.drop, v)
    if (p.coupled) this.joinDoses(v, k)
  }

  private countEdge(k: number, a: number, b: number, sign: number): void {
    const { p } = this
    const cell = a * p.nodes + b
    if (sign > 0) this.onward[a] = at(p.edge, cell)
    this.routeCost[k] = at(this.routeCost, k) + sign * at(p.edge, cell)
    this.load[k] = at(this.load, k) + sign * at(p.walk, cell)
  }

  /** Slices that pointed at b point at v, now before it, where v can be pushed that far. */
  private shareSlices(k: number, v: number, b: number): void {
    const hard = at(this.hard, v)
    const top = hard < 0 ? -1 : Math.min(SLICES - 1, hard >> this.sliceShift)
    for (let s = top; s >= 0; s--) {
      const stop = at(this.reachable, k * SLICES + s)
      if (stop === b) this.reachable[k * SLICES + s] = v
      else if (at(this.hard, stop) < at(this.hard, v)) break
    }
    if (at(this.reachable, k * SLICES) === b) this.reachable[k * SLICES] = v
  }

  private joinDoses(v: number, k: number): void {
    const { p } = this
    const g = at(p.group, v)
    const rank = at(p.doseRank, v)
    let before = -1
    let after = -1
    for (let i = rank - 1; i >= at(p.doseFrom, g) && before < 0; i--)
      if (at(this.route, at(p.doses, i)) >= 0) before = at(p.doses, i)
    for (let i = rank + 1; i < at(p.doseFrom, g + 1) && after < 0; i++)
      if (at(this.route, at(p.doses, i)) >= 0) after = at(p.doses, i)
    this.dosePrev[v] = before
    this.doseNext[v] = after
    if (before >= 0) this.doseNext[before] = v
    if (after >= 0) this.dosePrev[after] = v
    if (this.seen.length > 0) this.see(g, k, 1)
  }

  private see(g: number, k: number, change: number): void {
    const cell = g * this.p.routes + k
    const before = at(this.seen, cell)
    this.seen[cell] = before + change
    const others = this.therapistsOf(g) - (before + change > 0 ? 1 : 0)
    if (others === 0) return
    if (before === 0) this.totals[1] = at(this.totals, 1) + 1
    else if (before + change === 0) this.totals[1] = at(this.totals, 1) - 1
  }

  /** Takes visit v out. Times are out of date until `settleRemovals`. */
  remove(v: number): void {
    const { p } = this
    const k = at(this.route, v)
    const a = at(this.prev, v)
    const b = at(this.next, v)
    const late = latenessAt(p, v, at(this.start, v))
    this.routeCost[k] = at(this.routeCost, k) - at(p.assign, v * p.routes + k) - late
    this.countEdge(k, a, v, -1)
    this.countEdge(k, v, b, -1)
    this.countEdge(k, a, b, 1)
    this.next[a] = b
    this.prev[b] = a
    this.route[v] = -1
    this.start[v] = NOWHERE
    this.load[k] = at(this.load, k) - at(p.duration, v)
    this.quantity[k] = at(this.quantity, k) - at(p.demand, v)
    this.size[k] = at(this.size, k) - 1
    this.totals[0] = at(this.totals, 0) + at(p.drop, v)
    this.stale[k] = 1
    if (p.coupled) this.partDoses(v, k)
  }

  private partDoses(v: number, k: number): void {
    const before = at(this.dosePrev, v)
    const after = at(this.doseNext, v)
    if (before >= 0) {
      this.doseNext[before] = after
      this.stale[at(this.route, before)] = 1
    }
    if (after >= 0) {
      this.dosePrev[after] = before
      this.stale[at(this.route, after)] = 1
    }
    this.dosePrev[v] = -1
    this.doseNext[v] = -1
    if (this.seen.length > 0) this.see(at(this.p.group, v), k, -1)
  }

  /** Brings times up to date after removals. */
  settleRemovals(): void {
    this.settleWhole()
  }
}
