import { at } from '../engine/at.ts'
import type { FlatProblem } from '../engine/flat.ts'
import { neighborsOf } from '../engine/neighbors.ts'
import { type CrewKind, crewKinds } from './crew-kinds.ts'
import { MEMORY, Memory, RoutePricing } from './route-pricing.ts'
import { Simplex } from './simplex.ts'

export type ColumnBoundOptions = {
  /** Routes of good plans (visits in order, per therapist): where the search for prices starts. */
  readonly known: readonly (readonly number[])[]
  /** True ends the search with the best bound proved so far. */
  readonly stop: () => boolean
  readonly progress?: (bound: number) => void
}

/** Finer than one point, so that rounding prices to integers costs next to nothing. */
const FINENESS = 32
const KINDS = 3
const PER_ROUND = 40
const MOST_COLUMNS = 3000
const THOROUGH_EVERY = 4
/** Points per visit tried as even prices before anything is known. */
const EVEN_POINTS = [1, 1.5, 2, 2.5, 3, 4, 6, 10, 20]
/** How far prices may leave the best ones at first and at most, in points. */
const FIRST_BOX = 0.5
const WIDEST_BOX = 10_000

/**
 * Lower bound on every plan from the linear relaxation over routes, by column generation. Dropped from the problem: the
 * gaps and hand-overs between therapists, and the largest load is replaced by the mean load. The bound is taken from
 * the prices alone (Lagrange), in integers, so it holds whenever the search is stopped. Null if nothing was proved in
 * time.
 */
export function columnBound(p: FlatProblem, options: ColumnBoundOptions): number | null {
  if (p.visits === 0 || p.routes === 0) return null
  const search = new ColumnSearch(p, options)
  return search.run()
}

class ColumnSearch {
  private readonly p: FlatProblem
  private readonly options: ColumnBoundOptions
  private readonly kinds: CrewKind[]
  private readonly pricing: RoutePricing[]
  private readonly simplex: Simplex
  private readonly scale: number
  private readonly loadShare: number
  private best: number | null = null
  private center: Int32Array
  /** Prices may leave the center by so much, in scaled units. */
  private box: number

  constructor(p: FlatProblem, options: ColumnBoundOptions) {
    this.p = p
    this.options = options
    this.scale = p.routes * FINENESS
    this.loadShare = FINENESS * p.loadWeight
    this.box = FIRST_BOX * this.scale
    this.kinds = crewKinds(p, KINDS)
    const near = neighborsOf(p, MEMORY - 1)
    const memory = new Memory(p, (v) => Array.from(near.order.subarray(v * near.width, (v + 1) * near.width)))
    this.pricing = this.kinds.map((kind) => new RoutePricing(p, kind, memory, this.scale, this.loadShare))
    this.center = this.evenPrices(0)
    this.simplex = this.firstProgram()
    this.addKnown()
  }

  /** Every visit its share in the mean load and the same number of points beside. */
  private evenPrices(points: number): Int32Array {
    return Int32Array.from({ length: this.p.visits }, (_, v) =>
      Math.min(
        this.scale * at(this.p.drop, v),
        Math.round(this.loadShare * at(this.p.duration, v) + this.scale * points),
      ),
    )
  }

  private firstProgram(): Simplex {
    const { p, kinds } = this
    const empty = this.pricing.map((pricing) => pricing.costOf([]))
    const simplex = new Simplex(
      [...Array.from({ length: p.visits }, () => 1), ...kinds.map((kind) => kind.members.length)],
      [...this.p.drop.map((drop) => drop * this.scale), ...empty],
    )
    for (let v = 0; v < p.visits; v++) simplex.add({ cost: 0, rows: [v], values: [-1] })
    return simplex
  }

  /** Within the box a visit can be bought or sold at the box's edges: that keeps the prices inside. */
  private setBox(): void {
    const { p, simplex } = this
    for (let v = 0; v < p.visits; v++) {
      const price = at(this.center, v)
      simplex.setCost(v, Math.min(this.scale * at(p.drop, v), price + this.box))
      simplex.setCost(p.visits + this.kinds.length + v, this.box - price)
    }
  }

  private addKnown(): void {
    this.options.known.forEach((route, k) => {
      const kind = this.kinds.findIndex((item) => item.members.includes(k % this.p.routes))
      this.addRoute(kind, route)
    })
  }

  private addRoute(kind: number, visits: readonly number[]): void {
    if (visits.length === 0) return
    const counts = new Map<number, number>()
    for (const v of visits) counts.set(v, (counts.get(v) ?? 0) + 1)
    this.simplex.add({
      cost: (this.pricing[kind] as RoutePricing).costOf(visits),
      rows: [...counts.keys(), this.p.visits + kind],
      values: [...counts.values(), 1],
    })
  }

  run(): number | null {
    this.findCenter()
    for (let round = 1; !this.options.stop(); round++) {
      this.setBox()
      this.simplex.solve()
      if (this.simplex.size > MOST_COLUMNS)
        this.simplex.prune(this.p.visits * 2 + this.kinds.length, this.scale)
      const prices = this.prices()
      const atEdge = this.atEdge(prices)
      const helped = round % THOROUGH_EVERY !== 0 && this.price(prices, false)
      if (helped) continue
      if (this.price(prices, true)) continue
      if (!atEdge) break
      this.box = Math.min(2 * this.box, WIDEST_BOX * this.scale)
    }
    return this.best
  }

  /** The even price that proves most is where the search starts. */
  private findCenter(): void {
    for (const points of EVEN_POINTS) {
      if (this.options.stop()) return
      const before = this.best
      this.price(this.evenPrices(points), true)
      if (before !== null && this.best === before) break
    }
  }

  private prices(): Int32Array {
    return Int32Array.from({ length: this.p.visits }, (_, v) => Math.round(this.simplex.duals[v] as number))
  }

  private atEdge(prices: Int32Array): boolean {
    return prices.some((price, v) => {
      if (price >= this.scale * at(this.p.drop, v) - 1) return false
      return Math.abs(price - at(this.center, v)) >= this.box - 1
    })
  }

  /** Reduced cost of a route at the prices of the linear program. */
  private reducedOutside(kind: number, visits: readonly number[]): number {
    const { duals } = this.simplex
    const cost = (this.pricing[kind] as RoutePricing).costOf(visits)
    return (
      visits.reduce((sum, v) => sum - (duals[v] as number), cost) - (duals[this.p.visits + kind] as number)
    )
  }

  /** Searches for routes at these prices; thoroughly, it also proves a bound. True if it found routes worth adding. */
  private price(prices: Int32Array, thorough: boolean): boolean {
    let bound = this.baseOf(prices)
    let added = 0
    for (let kind = 0; kind < this.kinds.length; kind++) {
      if (this.options.stop()) return false
      const pricing = this.pricing[kind] as RoutePricing
      const routes = pricing.run(prices, thorough, PER_ROUND)
      const cheapest = Math.min(pricing.costOf([]), routes[0]?.reduced ?? Number.POSITIVE_INFINITY)
      bound += (this.kinds[kind] as CrewKind).members.length * cheapest
      for (const { visits } of routes) {
        if (this.reducedOutside(kind, visits) >= -FINENESS) continue
        this.addRoute(kind, visits)
        added++
      }
    }
    if (thorough) this.keep(bound, prices)
    return added > 0
  }

  /** The part of the bound that needs no route: prices collected, and visits cheaper to leave out than their price. */
  private baseOf(prices: Int32Array): number {
    let base = 0
    for (let v = 0; v < this.p.visits; v++) base += Math.min(at(prices, v), this.scale * at(this.p.drop, v))
    return base
  }

  private keep(scaled: number, prices: Int32Array): void {
    const { p } = this
    const before = p.loadBefore.reduce((sum, load) => sum + load, 0)
    const bound = Math.ceil((scaled + FINENESS * p.loadWeight * before) / this.scale) + p.constant
    if (this.best !== null && bound <= this.best) return
    this.best = bound
    this.center = prices
    this.options.progress?.(bound)
  }
}
