import { at } from '../engine/at.ts'
import type { FlatProblem } from '../engine/flat.ts'
import { PlanState } from '../engine/plan-state.ts'
import { constructed, improve } from '../improve.ts'
import { type RouteChoice, RouteLabels } from './route-labels.ts'

/** The best plan of a small problem, and whether it is proved that none is better. */
export type ExactAnswer = {
  readonly state: PlanState
  /** True: no plan is cheaper. False: no plan is cheaper than `lowerBound`. */
  readonly proved: boolean
  readonly lowerBound: number
}

/** Visits and therapists up to which the complete search is tried. */
const MOST_VISITS = 14
const MOST_ROUTES = 4
const FIRST_PLAN = { seed: 1, iterations: 400 }

/**
 * Solves a small problem completely: all routes of each therapist that can be part of a better plan, then the best
 * combination of one route each. Null if the problem is too large for it.
 */
export function solveExactly(p: FlatProblem): ExactAnswer | null {
  if (p.visits > MOST_VISITS || p.routes > MOST_ROUTES || p.routes === 0) return null
  const state = constructed(p)
  improve(state, { seed: FIRST_PLAN.seed, effort: { iterations: FIRST_PLAN.iterations } })
  const search = new Combination(p, state.cost())
  search.run()
  if (search.choice === null) return { state, proved: true, lowerBound: state.cost() }
  const better = new PlanState(p)
  const possible = better.setRoutes(search.routes())
  if (possible && better.cost() === search.best)
    return { state: better, proved: true, lowerBound: search.best }
  // Gaps between doses on different routes forbid the combination: what was found is only a bound.
  return { state, proved: false, lowerBound: search.best }
}

type Partial = {
  readonly mask: number
  readonly cost: number
  readonly most: number
  readonly choice: RouteChoice | null
  readonly before: Partial | null
}

/** Finds the cheapest choice of one route per therapist, if it is cheaper than what is already known. */
class Combination {
  best: number
  choice: Partial | null = null
  private readonly p: FlatProblem
  private readonly labels: RouteLabels[] = []
  /** Per set of visits: the least its members can cost if they are given or left out; left-out cost alone. */
  private readonly leastOf: Int32Array
  private readonly dropOf: Int32Array
  private readonly several: { readonly members: number; readonly group: number; readonly seen: boolean }[]
  private readonly mostRefund: number
  private readonly fixed: number

  constructor(p: FlatProblem, known: number) {
    this.p = p
    this.best = known
    this.leastOf = sumTable(p.visits, (v) => Math.min(at(p.drop, v), cheapestInto(p, v)))
    this.dropOf = sumTable(p.visits, (v) => at(p.drop, v))
    this.several = p.handover === 0 ? [] : severalOf(p)
    this.mostRefund = p.handover * this.several.filter((item) => !item.seen).length
    this.fixed = p.constant + p.handover * handoversBefore(p)
  }

  run(): void {
    const { p } = this
    let partials: Partial[] = [{ mask: 0, cost: 0, most: 0, choice: null, before: null }]
    for (let k = 0; k < p.routes; k++) {
      const labels = new RouteLabels(p, k, this.hopeful)
      this.labels.push(labels)
      const choices = labels
        .enumerate()
        .map((choice) => ({ ...choice, cost: choice.cost + this.touch(choice.mask, k) }))
      choices.sort((a, b) => a.cost - b.cost)
      if (k < p.routes - 1) partials = this.join(partials, choices)
      else this.close(partials, choices)
    }
  }

  /** The routes of the best combination as lists of nodes. */
  routes(): number[][] {
    const routes: number[][] = []
    for (let item = this.choice; item?.choice; item = item.before)
      routes.push((this.labels[this.p.routes - 1 - routes.length] as RouteLabels).stops(item.choice.label))
    return routes.reverse()
  }

  private readonly hopeful = (cost: number, load: number, mask: number): boolean => {
    const all = (1 << this.p.visits) - 1
    const rest = at(this.leastOf, all & ~mask)
    return this.fixed - this.mostRefund + cost + rest + this.p.loadWeight * load < this.best
  }

  /** Hand-over cost of a route, counted once per patient with several visits; given back once per patient at the end. */
  private touch(mask: number, k: number): number {
    const { p } = this
    let cost = 0
    for (const { members, group } of this.several)
      if ((mask & members) !== 0 && at(p.seenBefore, group * p.routes + k) === 0) cost += p.handover
    return cost
  }

  private join(partials: readonly Partial[], choices: readonly RouteChoice[]): Partial[] {
    const bySet = new Map<number, Partial[]>()
    for (const before of partials)
      for (const choice of choices) {
        if ((before.mask & choice.mask) !== 0) continue
        const mask = before.mask | choice.mask
        const cost = before.cost + choice.cost
        const most = Math.max(before.most, choice.load)
        if (!this.hopeful(cost, most, mask)) continue
        const kept = bySet.get(mask)
        if (kept === undefined) bySet.set(mask, [{ mask, cost, most, choice, before }])
        else keepPartial(kept, { mask, cost, most, choice, before })
      }
    return [...bySet.values()].flat()
  }

  private close(partials: readonly Partial[], choices: readonly RouteChoice[]): void {
    const all = (1 << this.p.visits) - 1
    for (const before of partials)
      for (const choice of choices) {
        if ((before.mask & choice.mask) !== 0) continue
        const mask = before.mask | choice.mask
        const cost = before.cost + choice.cost
        const most = Math.max(before.most, choice.load)
        const left = this.fixed + cost + at(this.dropOf, all & ~mask) + this.p.loadWeight * most
        if (left - this.mostRefund >= this.best) continue
        const total = left - this.refund(mask)
        if (total >= this.best) continue
        this.best = total
        this.choice = { mask, cost, most, choice, before }
      }
  }

  private refund(mask: number): number {
    let count = 0
    for (const { members, seen } of this.several) if (!seen && (mask & members) !== 0) count++
    return this.p.handover * count
  }
}

function keepPartial(kept: Partial[], fresh: Partial): void {
  if (kept.some((item) => item.cost <= fresh.cost && item.most <= fresh.most)) return
  const rest = kept.filter((item) => item.cost < fresh.cost || item.most < fresh.most)
  kept.splice(0, kept.length, ...rest, fresh)
}

/** For every set of visits the sum of a value over its members. */
function sumTable(visits: number, value: (v: number) => number): Int32Array {
  const table = new Int32Array(1 << visits)
  for (let mask = 1; mask < table.length; mask++) {
    const lowest = 31 - Math.clz32(mask & -mask)
    table[mask] = at(table, mask & (mask - 1)) + value(lowest)
  }
  return table
}

/** The cheapest edge into visit v from anywhere. */
function cheapestInto(p: FlatProblem, v: number): number {
  let cheapest = at(p.drop, v)
  for (let a = 0; a < p.visits + 2 * p.routes; a++)
    if (a !== v) cheapest = Math.min(cheapest, at(p.edgeInto, v * p.nodes + a))
  return cheapest
}

/** Patients for whom a hand-over can arise: several visits, or one and somebody who has seen them already. */
function severalOf(p: FlatProblem) {
  return Array.from({ length: p.groups }, (_, group) => {
    let members = 0
    for (let i = at(p.doseFrom, group); i < at(p.doseFrom, group + 1); i++) members |= 1 << at(p.doses, i)
    return { members, group, seen: therapistsBefore(p, group) > 0 }
  }).filter(({ members, seen }) => (members & (members - 1)) !== 0 || (members !== 0 && seen))
}

function therapistsBefore(p: FlatProblem, group: number): number {
  let count = 0
  for (let k = 0; k < p.routes; k++) count += at(p.seenBefore, group * p.routes + k)
  return count
}

function handoversBefore(p: FlatProblem): number {
  let count = 0
  for (let g = 0; g < p.groups; g++) count += Math.max(0, therapistsBefore(p, g) - 1)
  return count
}
