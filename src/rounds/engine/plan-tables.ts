import { at } from './at.ts'
import { type FlatProblem, NEVER } from './flat.ts'

/** Slices of time per route for finding the first stop that can still be reached. */
export const SLICES = 32

/** The start of a visit that is in no route: before all time, so that it is never late. */
export const NOWHERE = -NEVER

/**
 * The tables of a plan under change: routes as linked lists, and what is known per stop. All lie in one buffer, so that
 * keeping and restoring a plan is a single copy.
 */
export class PlanTables {
  readonly p: FlatProblem
  readonly buffer: Int32Array
  readonly next: Int32Array
  readonly prev: Int32Array
  /** Route of each node, −1 while left out. */
  readonly route: Int32Array
  /** Earliest start. */
  readonly start: Int32Array
  /** Latest start that costs nothing more than now; latest start that breaks nothing. Both see through routes and gaps. */
  readonly free: Int32Array
  readonly hard: Int32Array
  /** What at least each minute after `free` costs. */
  readonly freeRate: Int32Array
  /** Cost of the edge to the next node. */
  readonly onward: Int32Array
  /** Neighbouring doses of the same patient among those given, −1 if none. */
  readonly dosePrev: Int32Array
  readonly doseNext: Int32Array
  /** Per route: edges + lateness + assignment cost; minutes of work; demand; number of visits; content stamp. */
  readonly routeCost: Int32Array
  readonly load: Int32Array
  readonly quantity: Int32Array
  readonly size: Int32Array
  readonly stamp: Int32Array
  /** routes × SLICES: a stop before which no stop has its `hard` in that slice of time or later. */
  readonly reachable: Int32Array
  /** groups × routes: visits of that patient on that route (plus one if seen before). */
  readonly seen: Int32Array
  /** [0] cost of visits left out, [1] hand-overs. */
  readonly totals: Int32Array
  readonly sliceShift: number

  constructor(p: FlatProblem) {
    this.p = p
    const { nodes, routes, groups } = p
    const tracked = p.handover > 0 ? groups * routes : 0
    this.buffer = new Int32Array(10 * nodes + (5 + SLICES) * routes + tracked + 2)
    let from = 0
    const take = (length: number) => {
      from += length
      return this.buffer.subarray(from - length, from)
    }
    this.next = take(nodes)
    this.prev = take(nodes)
    this.route = take(nodes)
    this.start = take(nodes)
    this.free = take(nodes)
    this.hard = take(nodes)
    this.freeRate = take(nodes)
    this.onward = take(nodes)
    this.dosePrev = take(nodes)
    this.doseNext = take(nodes)
    this.routeCost = take(routes)
    this.load = take(routes)
    this.quantity = take(routes)
    this.size = take(routes)
    this.stamp = take(routes)
    this.reachable = take(SLICES * routes)
    this.seen = take(tracked)
    this.totals = take(2)
    this.sliceShift = sliceShiftOf(p)
  }

  /** How many therapists see patient g. */
  therapistsOf(g: number): number {
    let count = 0
    const { routes } = this.p
    for (let k = 0; k < routes; k++) if (at(this.seen, g * routes + k) > 0) count++
    return count
  }

  /** The largest load of any route. */
  maxLoad(): number {
    let most = 0
    for (let k = 0; k < this.p.routes; k++) if (at(this.load, k) > most) most = at(this.load, k)
    return most
  }

  /** The objective, in cost units, of the plan as it stands. */
  cost(): number {
    const { p } = this
    let sum = p.constant + at(this.totals, 0) + p.handover * at(this.totals, 1)
    for (let k = 0; k < p.routes; k++) sum += at(this.routeCost, k)
    return p.loadWeight === 0 ? sum : sum + p.loadWeight * this.maxLoad()
  }

  /** A stop of route k such that no stop before it can be pushed to time t or later; never the start. */
  firstReachable(k: number, t: number): number {
    const slice = t >> this.sliceShift
    return at(this.reachable, k * SLICES + (slice < 0 ? 0 : slice >= SLICES ? SLICES - 1 : slice))
  }
}

/** Power of two of minutes per slice, so that the slices cover every end of a shift. */
function sliceShiftOf(p: FlatProblem): number {
  let latest = 1
  for (let k = 0; k < p.routes; k++) latest = Math.max(latest, at(p.last, p.visits + 2 * p.routes + k))
  let shift = 0
  while (latest >> shift >= SLICES) shift++
  return shift
}

/** Cost of node b starting at time t: late minutes, and minutes after its promise. */
export function latenessAt(p: FlatProblem, b: number, t: number): number {
  if (t <= at(p.freeUntil, b)) return 0
  const late = t - at(p.onTime, b)
  const postponed = t - at(p.promise, b)
  return (late > 0 ? late * at(p.lateRate, b) : 0) + (postponed > 0 ? postponed * at(p.promiseRate, b) : 0)
}

/** The first time from t on at which the patient of v is there for the whole visit. */
export function afterAway(p: FlatProblem, v: number, t: number): number {
  let time = t
  for (let i = at(p.awayAt, v); i < at(p.awayAt, v + 1); i++)
    if (time > at(p.awayFrom, i) && time < at(p.awayUntil, i)) time = at(p.awayUntil, i)
  return time
}

/** The last time up to t at which the patient of v is there for the whole visit. */
export function beforeAway(p: FlatProblem, v: number, t: number): number {
  let time = t
  for (let i = at(p.awayAt, v + 1) - 1; i >= at(p.awayAt, v); i--)
    if (time > at(p.awayFrom, i) && time < at(p.awayUntil, i)) time = at(p.awayFrom, i)
  return time
}
