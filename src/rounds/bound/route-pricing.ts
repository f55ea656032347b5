import { at } from '../engine/at.ts'
import { breakNode, endNode, type FlatProblem, startNode } from '../engine/flat.ts'
import { GrowingInts } from '../engine/growing-ints.ts'
import { afterAway, latenessAt } from '../engine/plan-tables.ts'
import type { CrewKind } from './crew-kinds.ts'

/** A route found by pricing: its visits in order and its reduced cost. */
export type PricedRoute = { readonly visits: readonly number[]; readonly reduced: number }

/** How many visits a label remembers: a visit may be repeated only once none of those near it remembers it. */
export const MEMORY = 8

/**
 * Finds cheap routes of one crew kind under prizes for visits by labelling over time, with the ng-route relaxation: a
 * visit can come twice in a route if it has been forgotten between (Baldacci, Mingozzi & Roberti 2011, from memory).
 * All amounts are integers in the scaled unit of the tables.
 */
export class RoutePricing {
  private readonly p: FlatProblem
  private readonly kind: CrewKind
  /** Scaled edge cost with walking's share in the mean load, places: visits, then break, start, end of the first member. */
  private readonly edge: Int32Array
  private readonly way: Int32Array
  private readonly fixedCost: Int32Array
  private readonly scale: number
  private readonly loadShare: number
  private readonly size: number
  private readonly successors: Int32Array[]
  private readonly memory: Memory
  private readonly origin: number
  private readonly span: number
  private node = new GrowingInts()
  private time = new GrowingInts()
  private cost = new GrowingInts()
  private kept = new GrowingInts()
  private rested = new GrowingInts()
  private parent = new GrowingInts()
  private next = new GrowingInts()

  constructor(p: FlatProblem, kind: CrewKind, memory: Memory, scale: number, loadShare: number) {
    this.p = p
    this.kind = kind
    this.memory = memory
    this.scale = scale
    this.loadShare = loadShare
    this.size = p.visits + 3
    this.edge = new Int32Array(this.size * this.size)
    this.way = new Int32Array(this.size * this.size)
    this.fillWays()
    this.fixedCost = Int32Array.from(
      { length: p.visits },
      (_, v) => scale * at(kind.assign, v) + loadShare * at(p.duration, v),
    )
    this.successors = Array.from({ length: p.visits + 2 }, (_, a) => this.successorsOf(a))
    this.origin = kind.startAt
    this.span = Math.max(1, kind.endBy - kind.startAt + 1)
  }

  /** Ways between places of this kind: the least over its members where they differ. */
  private fillWays(): void {
    const { p, kind, size } = this
    const nodesOf = (place: number): number[] => {
      if (place < p.visits) return [place]
      const pick = [breakNode, startNode, endNode][place - p.visits] as typeof breakNode
      return kind.members.map((k) => pick(p, k))
    }
    for (let a = 0; a < size; a++)
      for (let b = 0; b < size; b++) {
        let way = Number.POSITIVE_INFINITY
        let cost = Number.POSITIVE_INFINITY
        for (const from of nodesOf(a))
          for (const to of nodesOf(b)) {
            const minutes = at(p.walk, from * p.nodes + to)
            way = Math.min(way, minutes)
            cost = Math.min(cost, this.scale * at(p.edge, from * p.nodes + to) + this.loadShare * minutes)
          }
        this.way[a * size + b] = way
        this.edge[a * size + b] = cost
      }
  }

  private earliest(place: number): number {
    const { p, kind } = this
    if (place < p.visits) return Math.max(kind.startAt, at(p.early, place))
    return place === p.visits ? Math.max(kind.startAt, kind.breakEarly) : kind.startAt
  }

  private duration(place: number): number {
    const { p, kind } = this
    if (place < p.visits) return at(p.duration, place)
    return place === p.visits ? kind.breakDuration : 0
  }

  private latest(place: number): number {
    return place < this.p.visits ? at(this.p.last, place) : this.kind.breakLast
  }

  private successorsOf(a: number): Int32Array {
    const { p, kind, size } = this
    const list: number[] = []
    const leaves = this.earliest(a) + this.duration(a)
    for (let b = 0; b < p.visits; b++)
      if (b !== a && at(kind.allowed, b) === 1 && leaves + at(this.way, a * size + b) <= at(p.last, b))
        list.push(b)
    if (kind.hasBreak && a !== p.visits && leaves + at(this.way, a * size + p.visits) <= kind.breakLast)
      list.push(p.visits)
    return Int32Array.from(list)
  }

  /**
   * The cheapest routes under the prizes, cheapest first, at most `count`. With `thorough` the first one's reduced
   * cost is a lower bound on that of every route; without, labels are compared by time and cost only, which is fast
   * and may miss routes.
   */
  run(prizes: Int32Array, thorough: boolean, count: number): PricedRoute[] {
    this.clear()
    const { p, span } = this
    const pending = new Int32Array(span).fill(-1)
    const book = new LabelBook(p.visits + 1, span, thorough)
    const start = p.visits + 1
    const ends: { label: number; reduced: number }[] = []
    const first = this.store(start, 0, 0, 0, this.kind.hasBreak ? 0 : 1, -1)
    this.expand(first, prizes, pending, book)
    this.end(first, ends)
    for (let t = 0; t < span; t++)
      for (let label = at(pending, t); label >= 0; label = this.next.get(label)) {
        if (
          !book.admit(
            this.node.get(label),
            t,
            this.cost.get(label),
            this.kept.get(label),
            this.rested.get(label),
          )
        )
          continue
        this.expand(label, prizes, pending, book)
        this.end(label, ends)
      }
    ends.sort((a, b) => a.reduced - b.reduced)
    return this.spread(ends, count)
  }

  /** Scaled cost of a route, its break at the best place; visits in order. */
  costOf(visits: readonly number[]): number {
    const { p } = this
    const start = p.visits + 1
    const end = p.visits + 2
    const stops = [start, ...visits, end]
    let best = Number.POSITIVE_INFINITY
    for (let place = 0; place < stops.length - 1; place++) {
      const withBreak = this.kind.hasBreak
        ? [...stops.slice(0, place + 1), p.visits, ...stops.slice(place + 1)]
        : stops
      best = Math.min(best, this.costOfStops(withBreak))
    }
    return best
  }

  private costOfStops(stops: readonly number[]): number {
    const { p, size } = this
    let t = this.kind.startAt
    let cost = 0
    for (let i = 1; i < stops.length; i++) {
      const a = stops[i - 1] as number
      const b = stops[i] as number
      t += this.duration(a) + at(this.way, a * size + b)
      if (b < p.visits + 2) t = Math.max(t, this.earliest(b))
      if (b < p.visits) {
        t = afterAway(p, b, t)
        cost += at(this.fixedCost, b) + this.scale * latenessAt(p, b, t)
      }
      if (t > (b === p.visits + 2 ? this.kind.endBy : this.latest(b))) return Number.POSITIVE_INFINITY
      cost += at(this.edge, a * size + b)
    }
    return cost
  }

  /** The best routes by last visit, so that a round brings in different ones. */
  private spread(ends: readonly { label: number; reduced: number }[], count: number): PricedRoute[] {
    const perLast = new Map<number, number>()
    const chosen: PricedRoute[] = []
    for (const { label, reduced } of ends) {
      if (chosen.length >= count) break
      const last = this.node.get(label)
      const used = perLast.get(last) ?? 0
      if (used >= 2) continue
      perLast.set(last, used + 1)
      chosen.push({ visits: this.visitsOf(label), reduced })
    }
    return chosen
  }

  private visitsOf(label: number): number[] {
    const visits: number[] = []
    for (let i = label; i >= 0; i = this.parent.get(i))
      if (this.node.get(i) < this.p.visits) visits.push(this.node.get(i))
    return visits.reverse()
  }

  private clear(): void {
    for (const list of [this.node, this.time, this.cost, this.kept, this.rested, this.parent, this.next])
      list.length = 0
  }

  private store(
    node: number,
    time: number,
    cost: number,
    kept: number,
    rested: number,
    parent: number,
  ): number {
    this.node.push(node)
    this.time.push(time)
    this.cost.push(cost)
    this.kept.push(kept)
    this.rested.push(rested)
    this.parent.push(parent)
    this.next.push(-1)
    return this.node.length - 1
  }

  private expand(label: number, prizes: Int32Array, pending: Int32Array, book: LabelBook): void {
    const { p, size, origin, memory } = this
    const a = this.node.get(label)
    const leave = this.time.get(label) + origin + this.duration(a)
    const cost = this.cost.get(label)
    const kept = this.kept.get(label)
    const rested = this.rested.get(label)
    const successors = this.successors[a] as Int32Array
    for (let i = 0; i < successors.length; i++) {
      const b = at(successors, i)
      if (b === p.visits) {
        if (rested === 0) this.rest(label, leave, cost, pending, book)
        continue
      }
      if (a < p.visits && memory.forbids(a, kept, b)) continue
      let t = leave + at(this.way, a * size + b)
      if (t < at(p.early, b)) t = at(p.early, b)
      if (at(p.awayAt, b) !== at(p.awayAt, b + 1)) t = afterAway(p, b, t)
      if (t > at(p.last, b) || t - origin >= this.span) continue
      let c = cost + at(this.edge, a * size + b) + at(this.fixedCost, b) - at(prizes, b)
      if (t > at(p.freeUntil, b)) c += this.scale * latenessAt(p, b, t)
      const remembered = a < p.visits ? memory.carry(a, kept, b) : 1
      this.offer(b, t - origin, c, remembered, rested, label, pending, book)
    }
  }

  private rest(label: number, leave: number, cost: number, pending: Int32Array, book: LabelBook): void {
    const { p, size } = this
    const a = this.node.get(label)
    const t = Math.max(leave + at(this.way, a * size + p.visits), this.earliest(p.visits))
    if (t > this.latest(p.visits) || t - this.origin >= this.span) return
    this.offer(
      p.visits,
      t - this.origin,
      cost + at(this.edge, a * size + p.visits),
      0,
      1,
      label,
      pending,
      book,
    )
  }

  private offer(
    b: number,
    t: number,
    cost: number,
    kept: number,
    rested: number,
    parent: number,
    pending: Int32Array,
    book: LabelBook,
  ): void {
    if (!book.promising(b, t, cost, kept, rested)) return
    const label = this.store(b, t, cost, kept, rested, parent)
    this.next.values[label] = at(pending, t)
    pending[t] = label
  }

  private end(label: number, ends: { label: number; reduced: number }[]): void {
    if (this.rested.get(label) === 0) return
    const { p, size } = this
    const a = this.node.get(label)
    const end = p.visits + 2
    const home = this.time.get(label) + this.origin + this.duration(a) + at(this.way, a * size + end)
    if (home > this.kind.endBy) return
    ends.push({ label, reduced: this.cost.get(label) + at(this.edge, a * size + end) })
  }
}

/** What labels remember: per visit, the few visits nearest to it in place and time. */
export class Memory {
  private readonly visits: number
  private readonly bitOf: Int8Array
  private readonly tables: Uint8Array

  constructor(p: FlatProblem, near: (v: number) => readonly number[]) {
    this.visits = p.visits
    this.bitOf = new Int8Array(p.visits * p.visits).fill(-1)
    const sets = Array.from({ length: p.visits }, (_, v) => [v, ...near(v)].slice(0, MEMORY))
    sets.forEach((set, v) => {
      set.forEach((u, bit) => {
        this.bitOf[v * p.visits + u] = bit
      })
    })
    const states = 1 << MEMORY
    this.tables = new Uint8Array(p.visits * p.visits * states)
    sets.forEach((set, v) => {
      for (let b = 0; b < p.visits; b++) this.fillTable(v, set, b, states)
    })
  }

  private fillTable(v: number, set: readonly number[], b: number, states: number): void {
    const to = set.map((u) => {
      const bit = this.bitOf[b * this.visits + u] as number
      return bit < 0 ? 0 : 1 << bit
    })
    const from = (v * this.visits + b) * states
    for (let kept = 0; kept < states; kept++) {
      const lowest = kept === 0 ? 0 : 31 - Math.clz32(kept & -kept)
      this.tables[from + kept] =
        kept === 0 ? 1 : (this.tables[from + (kept & (kept - 1))] as number) | (to[lowest] ?? 0)
    }
  }

  /** May b not follow a label at `a` that remembers `kept`? */
  forbids(a: number, kept: number, b: number): boolean {
    const bit = this.bitOf[a * this.visits + b] as number
    return bit >= 0 && (kept & (1 << bit)) !== 0
  }

  /** What is remembered at b after a label at `a` that remembers `kept` (b itself is bit 0). */
  carry(a: number, kept: number, b: number): number {
    return this.tables[((a * this.visits + b) << MEMORY) + kept] as number
  }
}

/** The labels that count so far, per place and break state. */
class LabelBook {
  private readonly span: number
  private readonly thorough: boolean
  private readonly least: Int32Array
  private readonly atTime: Int32Array
  private readonly lists: GrowingInts[]

  constructor(places: number, span: number, thorough: boolean) {
    this.span = span
    this.thorough = thorough
    this.least = new Int32Array(2 * places).fill(0x3fffffff)
    this.atTime = new Int32Array(2 * places * span).fill(0x3fffffff)
    this.lists = thorough ? Array.from({ length: 2 * places }, () => new GrowingInts()) : []
  }

  /** Quick test at creation; false if an earlier or equal label is surely as good. */
  promising(place: number, t: number, cost: number, kept: number, rested: number): boolean {
    const list = 2 * place + rested
    if (this.thorough) return !this.dominated(list, cost, kept)
    if (cost >= at(this.least, list) || cost >= at(this.atTime, list * this.span + t)) return false
    this.atTime[list * this.span + t] = cost
    return true
  }

  /** Test when the label's time has come; a label that passes is entered. */
  admit(place: number, t: number, cost: number, kept: number, rested: number): boolean {
    const list = 2 * place + rested
    if (!this.thorough) {
      if (cost >= at(this.least, list) || cost > at(this.atTime, list * this.span + t)) return false
      this.least[list] = cost
      return true
    }
    if (this.dominated(list, cost, kept)) return false
    const entries = this.lists[list] as GrowingInts
    // Sorted by cost, so that the search for a dominating label can stop early.
    entries.push(0)
    entries.push(0)
    let i = entries.length - 2
    for (; i > 0 && entries.get(i - 2) > cost; i -= 2) {
      entries.values[i] = entries.get(i - 2)
      entries.values[i + 1] = entries.get(i - 1)
    }
    entries.values[i] = cost
    entries.values[i + 1] = kept
    return true
  }

  private dominated(list: number, cost: number, kept: number): boolean {
    const entries = this.lists[list] as GrowingInts
    const { values, length } = entries
    for (let i = 0; i < length && at(values, i) <= cost; i += 2)
      if ((at(values, i + 1) & ~kept) === 0) return true
    return false
  }
}
