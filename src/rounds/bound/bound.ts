import { at } from '../engine/at.ts'
import type { FlatProblem } from '../engine/flat.ts'
import { columnBound } from './column-bound.ts'
import { type Overload, overloads } from './interval.ts'

/** How a bound was proved. */
export type BoundMethod = 'shortest-walks' | 'overloaded-intervals' | 'routes'

/** No plan costs less than `value`. */
export type Bound = {
  readonly value: number
  readonly method: BoundMethod
  /** Intervals with more work than time, dearest first; they share no visits. */
  readonly overloads: readonly Overload[]
}

export type BoundOptions = {
  /** Routes of good plans (visits in order, per therapist); the better they are, the faster the bound rises. */
  readonly known: readonly (readonly number[])[]
  readonly stop: () => boolean
  readonly progress?: (value: number) => void
}

/** Above this many visits the bound over routes takes too much memory to be tried. */
const MOST_FOR_ROUTES = 400

/**
 * The best lower bound that can be proved before `stop` says so: shortest walks (at once), overloaded intervals
 * (at once), then the linear relaxation over routes.
 */
export function lowerBound(p: FlatProblem, options: BoundOptions): Bound {
  const found = overloads(p)
  let best: Bound = { value: shortestWalksBound(p), method: 'shortest-walks', overloads: found }
  const take = (value: number, method: BoundMethod) => {
    if (value <= best.value) return
    best = { value, method, overloads: found }
    options.progress?.(value)
  }
  options.progress?.(best.value)
  take(intervalBound(p, found), 'overloaded-intervals')
  if (p.visits > MOST_FOR_ROUTES) return best
  columnBound(p, { ...options, progress: (value) => take(value, 'routes') })
  return best
}

/**
 * Root bound: every visit is left out, or costs at least its shortest way in and its share in the mean load (the
 * largest load is at least the mean).
 */
export function shortestWalksBound(p: FlatProblem): number {
  return p.constant + Math.ceil(visitFloors(p, () => true) - 1e-6)
}

/** Unavoidable lateness and drops in overloaded intervals, and the root bound of the visits that are in none of them. */
export function intervalBound(p: FlatProblem, found: readonly Overload[]): number {
  const counted = new Set(found.flatMap((overload) => overload.visits))
  const cost = found.reduce((sum, overload) => sum + overload.cost, 0)
  return p.constant + cost + Math.ceil(visitFloors(p, (v) => !counted.has(v)) - 1e-6)
}

function visitFloors(p: FlatProblem, include: (v: number) => boolean): number {
  if (p.routes === 0) return p.drop.reduce((sum, drop, v) => sum + (include(v) ? drop : 0), 0)
  const share = p.loadWeight / p.routes
  let sum = share * p.loadBefore.reduce((total, load) => total + load, 0)
  for (let v = 0; v < p.visits; v++) {
    if (!include(v)) continue
    const { edge, way } = shortestInto(p, v)
    sum += Math.min(at(p.drop, v), edge + share * (at(p.duration, v) + way))
  }
  return sum
}

function shortestInto(p: FlatProblem, v: number) {
  let edge = Number.POSITIVE_INFINITY
  let way = Number.POSITIVE_INFINITY
  for (let a = 0; a < p.visits + 2 * p.routes; a++) {
    if (a === v) continue
    edge = Math.min(edge, at(p.edgeInto, v * p.nodes + a))
    way = Math.min(way, at(p.walkInto, v * p.nodes + a))
  }
  return { edge, way }
}
