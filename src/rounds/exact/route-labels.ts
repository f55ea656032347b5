import { at } from '../engine/at.ts'
import { breakNode, endNode, type FlatProblem, startNode } from '../engine/flat.ts'
import { GrowingInts } from '../engine/growing-ints.ts'
import { afterAway, latenessAt } from '../engine/plan-tables.ts'

/** One way to serve a set of visits (bits of `mask`) on a route; none is both cheaper and lighter for the same set. */
export type RouteChoice = {
  readonly mask: number
  /** Edges, lateness and assignment; without hand-overs, visits left out and balance. */
  readonly cost: number
  readonly load: number
  readonly label: number
}

/** Tells whether a partial route can still be part of a plan that is good enough. */
export type Hope = (cost: number, load: number, mask: number) => boolean

/**
 * Enumerates the routes of one therapist by labelling: every set of visits, every last stop, and for those only labels
 * that no other label beats in time, cost, walking and release of later doses (elementary shortest paths with
 * resources: Feillet et al. 2004, from memory). Gaps count between doses on the same route; between routes the combiner
 * answers for them.
 */
export class RouteLabels {
  private readonly p: FlatProblem
  private readonly k: number
  private readonly hope: Hope
  private readonly bits: number
  private readonly breakBit: number
  private readonly slots: number[]
  private readonly heads: Int32Array
  private readonly next = new GrowingInts()
  private readonly time = new GrowingInts()
  private readonly cost = new GrowingInts()
  private readonly load = new GrowingInts()
  private readonly last = new GrowingInts()
  private readonly parent = new GrowingInts()
  private readonly release = new GrowingInts()
  private readonly choices = new Map<number, RouteChoice[]>()
  private readonly trial: Int32Array

  constructor(p: FlatProblem, k: number, hope: Hope) {
    this.p = p
    this.k = k
    this.hope = hope
    const hasBreak = at(p.hasBreak, k) === 1
    this.bits = p.visits + (hasBreak ? 1 : 0)
    this.breakBit = hasBreak ? 1 << p.visits : 0
    this.slots = groupsWithSeveral(p)
    this.trial = new Int32Array(this.slots.length)
    this.heads = new Int32Array((1 << this.bits) * (p.visits + 1)).fill(-1)
  }

  /** All routes worth having, by set of visits. */
  enumerate(): RouteChoice[] {
    const { p, k } = this
    const origin = this.store(startNode(p, k), at(p.early, startNode(p, k)), 0, at(p.loadBefore, k), -1)
    this.extendAll(origin, 0)
    this.finish(origin, 0)
    for (let mask = 1; mask < 1 << this.bits; mask++)
      for (let slot = 0; slot <= p.visits; slot++)
        for (
          let label = at(this.heads, mask * (p.visits + 1) + slot);
          label >= 0;
          label = this.next.get(label)
        ) {
          this.extendAll(label, mask)
          this.finish(label, mask)
        }
    return [...this.choices.values()].flat()
  }

  /** The stops of a route in order. */
  stops(label: number): number[] {
    const stops: number[] = []
    for (let i = label; this.parent.get(i) >= 0; i = this.parent.get(i)) stops.push(this.last.get(i))
    return stops.reverse()
  }

  private extendAll(label: number, mask: number): void {
    const { p, k } = this
    for (let v = 0; v < p.visits; v++)
      if ((mask & (1 << v)) === 0 && at(p.allowed, v * p.routes + k) === 1)
        this.extend(label, mask, v, 1 << v, v)
    if (this.breakBit !== 0 && (mask & this.breakBit) === 0)
      this.extend(label, mask, breakNode(p, k), this.breakBit, p.visits)
  }

  private extend(label: number, mask: number, b: number, bit: number, slot: number): void {
    const { p, k } = this
    const a = this.last.get(label)
    const way = at(p.walk, a * p.nodes + b)
    let t = this.time.get(label) + at(p.duration, a) + way
    if (t < at(p.early, b)) t = at(p.early, b)
    const dose = b < p.visits ? this.slots.indexOf(at(p.group, b)) : -1
    if (dose >= 0) {
      if (this.laterDoseGiven(mask, b)) return
      t = Math.max(t, this.release.get(label * this.slots.length + dose))
    }
    if (b < p.visits) t = afterAway(p, b, t)
    if (t > at(p.last, b)) return
    let cost = this.cost.get(label) + at(p.edge, a * p.nodes + b) + latenessAt(p, b, t)
    let load = this.load.get(label) + way
    if (b < p.visits) {
      cost += at(p.assign, b * p.routes + k)
      load += at(p.duration, b)
    }
    const grown = mask | bit
    if (!this.hope(cost, load, grown & ~this.breakBit)) return
    for (let s = 0; s < this.slots.length; s++)
      this.trial[s] = this.release.get(label * this.slots.length + s)
    if (dose >= 0) this.trial[dose] = t + at(p.gap, at(p.group, b))
    this.keep(grown * (p.visits + 1) + slot, b, t, cost, load, label)
  }

  private laterDoseGiven(mask: number, v: number): boolean {
    const { p } = this
    const end = at(p.doseFrom, at(p.group, v) + 1)
    for (let i = at(p.doseRank, v) + 1; i < end; i++) if ((mask & (1 << at(p.doses, i))) !== 0) return true
    return false
  }

  /** Stores the label in `trial` unless another is at least as good in everything; drops those it beats. */
  private keep(head: number, b: number, t: number, cost: number, load: number, parent: number): void {
    let before = -1
    for (let i = at(this.heads, head); i >= 0; i = this.next.get(i)) {
      const byOther = this.compare(i, t, cost, load)
      if (byOther <= 0) return
      if (byOther === 2) {
        if (before < 0) this.heads[head] = this.next.get(i)
        else this.next.values[before] = this.next.get(i)
      } else before = i
    }
    const label = this.store(b, t, cost, load, parent)
    for (let s = 0; s < this.slots.length; s++)
      this.release.values[label * this.slots.length + s] = at(this.trial, s)
    this.next.values[label] = at(this.heads, head)
    this.heads[head] = label
  }

  /** 0: the stored label is at least as good; 2: it is beaten; 1: neither. */
  private compare(i: number, t: number, cost: number, load: number): number {
    let better = true
    let worse = true
    const weigh = (stored: number, fresh: number) => {
      if (stored > fresh) better = false
      else if (stored < fresh) worse = false
    }
    weigh(this.time.get(i), t)
    weigh(this.cost.get(i), cost)
    weigh(this.load.get(i), load)
    for (let s = 0; s < this.slots.length; s++)
      weigh(this.release.get(i * this.slots.length + s), at(this.trial, s))
    if (better) return 0
    return worse ? 2 : 1
  }

  private store(b: number, t: number, cost: number, load: number, parent: number): number {
    const label = this.time.length
    this.time.push(t)
    this.cost.push(cost)
    this.load.push(load)
    this.last.push(b)
    this.parent.push(parent)
    this.next.push(-1)
    for (let s = 0; s < this.slots.length; s++) this.release.push(-1)
    return label
  }

  private finish(label: number, mask: number): void {
    const { p, k } = this
    if ((mask & this.breakBit) !== this.breakBit) return
    const a = this.last.get(label)
    const end = endNode(p, k)
    const way = at(p.walk, a * p.nodes + end)
    if (this.time.get(label) + at(p.duration, a) + way > at(p.last, end)) return
    const visits = mask & ~this.breakBit
    const cost = this.cost.get(label) + at(p.edge, a * p.nodes + end)
    const load = this.load.get(label) + way
    if (!this.hope(cost, load, visits)) return
    const kept = this.choices.get(visits) ?? []
    if (kept.some((choice) => choice.cost <= cost && choice.load <= load)) return
    const rest = kept.filter((choice) => choice.cost < cost || choice.load < load)
    rest.push({ mask: visits, cost, load, label })
    this.choices.set(visits, rest)
  }
}

/** Patients with more than one visit: only their gaps tie stops together. */
function groupsWithSeveral(p: FlatProblem): number[] {
  return Array.from({ length: p.groups }, (_, g) => g).filter(
    (g) => at(p.doseFrom, g + 1) - at(p.doseFrom, g) > 1,
  )
}
