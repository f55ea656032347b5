/**
 * A routing problem as flat tables of 32-bit integers: the one form that construction, improvement, repair and bounds
 * work on. Hospital shifts and published benchmark files both compile to it.
 *
 * Places are numbered: visits 0…n−1, then one break per route, one start per route, one end per route.
 * Times and costs are integers in the problem's own unit (minutes, or tenths of a distance).
 */
export type FlatProblem = {
  readonly visits: number
  readonly routes: number
  /** visits + 3 × routes */
  readonly nodes: number
  /** nodes × nodes: time on the way from a to b. */
  readonly walk: Int32Array
  /** nodes × nodes: cost of going from a directly to b (weighted walking and isolation order). */
  readonly edge: Int32Array
  /** The same two tables turned round: cell b × nodes + a holds a → b, so that a scan reads one row. */
  readonly walkInto: Int32Array
  readonly edgeInto: Int32Array
  /** Per node: start not before, free of charge until, not after. */
  readonly early: Int32Array
  readonly onTime: Int32Array
  readonly last: Int32Array
  readonly duration: Int32Array
  /** Per node: cost of each unit of time after `onTime`. */
  readonly lateRate: Int32Array
  /** Per node: a promised limit (NEVER without one) and the cost of each unit after it. */
  readonly promise: Int32Array
  readonly promiseRate: Int32Array
  /** Per node: what at least each minute after `freeUntil` costs. */
  readonly freeRate: Int32Array
  /** Per node: min(onTime, promise), until when nothing is charged. */
  readonly freeUntil: Int32Array
  /** Per visit: cost of leaving it out. */
  readonly drop: Int32Array
  readonly demand: Int32Array
  readonly capacity: Int32Array
  /** visits × routes: 1 where the route may serve the visit. */
  readonly allowed: Int32Array
  /** visits × routes: cost charged when that route serves that visit (0 unless promised to another). */
  readonly assign: Int32Array
  /** Visits of one patient form a group; doses keep the group's gap, in the order listed. */
  readonly groups: number
  readonly group: Int32Array
  readonly gap: Int32Array
  /** Visits sorted by group and dose order; `doseFrom[g]`…`doseFrom[g + 1]` is group g; `doseRank[v]` its place. */
  readonly doses: Int32Array
  readonly doseFrom: Int32Array
  readonly doseRank: Int32Array
  /** groups × routes: 1 where that route has already seen that patient. */
  readonly seenBefore: Int32Array
  readonly handover: number
  readonly loadWeight: number
  /** Per route: load carried over from work already done. */
  readonly loadBefore: Int32Array
  /** Per route: 1 if it has a break to be kept (node visits + route). */
  readonly hasBreak: Int32Array
  /** Routes with equal numbers are interchangeable while empty. */
  readonly kind: Int32Array
  /** Starts of visit v may not fall strictly between awayFrom and awayUntil: entries awayAt[v]…awayAt[v + 1], ascending. */
  readonly awayAt: Int32Array
  readonly awayFrom: Int32Array
  readonly awayUntil: Int32Array
  /** Does any group have two visits and a gap or hand-over cost, so that routes depend on each other? */
  readonly coupled: boolean
  /** Cost added whatever the plan (work already done). */
  readonly constant: number
  /** Cost units per unit of the published objective (1 for shifts, 10 for tenths). */
  readonly scale: number
}

/** A time later than any that occurs, small enough to be added to without overflow. */
export const NEVER = 500_000_000

export const breakNode = (p: FlatProblem, route: number): number => p.visits + route
export const startNode = (p: FlatProblem, route: number): number => p.visits + p.routes + route
export const endNode = (p: FlatProblem, route: number): number => p.visits + 2 * p.routes + route

/** Turns a square table round. */
export function turned(table: Int32Array, nodes: number): Int32Array {
  const result = new Int32Array(table.length)
  for (let a = 0; a < nodes; a++)
    for (let b = 0; b < nodes; b++) result[b * nodes + a] = table[a * nodes + b] as number
  return result
}

/** Per node: the cost of a minute right after `freeUntil`. */
export function freeRates(
  times: Pick<FlatProblem, 'onTime' | 'promise' | 'lateRate' | 'promiseRate'>,
): Int32Array {
  return times.onTime.map((onTime, b) => {
    const promise = times.promise[b] as number
    const late = times.lateRate[b] as number
    const postponed = times.promiseRate[b] as number
    if (onTime === promise) return late + postponed
    return onTime < promise ? late : postponed
  })
}
