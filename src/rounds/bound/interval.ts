import { at } from '../engine/at.ts'
import { breakNode, endNode, type FlatProblem, NEVER, startNode } from '../engine/flat.ts'

/** An interval in which there is more work than time, whatever the plan. */
export type Overload = {
  readonly from: number
  readonly until: number
  /** Minutes of visits that must fall into the interval if nothing is late or left out. */
  readonly neededMinutes: number
  /** Minutes of walking to those visits that cannot be avoided inside the interval. */
  readonly walkingMinutes: number
  /** Minutes that the therapists who may give those visits are there, breaks out. */
  readonly presentMinutes: number
  /** What the excess costs at least, in lateness and visits left out. */
  readonly cost: number
  /** Visits with minutes that must fall into the interval. */
  readonly visits: readonly number[]
  /** The therapists (routes) who may give those visits: all of them, or those with a skill. */
  readonly routes: readonly number[]
}

/** Interval ends are taken from the windows while there are no more than this many, fewer on large problems. */
const MOST_ENDS = 240
const MOST_LOOKS = 15_000_000

/**
 * Overloaded intervals by energetic reasoning: in any interval the minutes that visits cannot avoid spending in it, and
 * the walks to those that lie wholly inside, must fit into the minutes of the therapists present, breaks out (textbook
 * argument of scheduling, from memory). Looked for over all visits, and over those that only some therapists may give.
 * The answer holds intervals that share no visit, so their costs add up; dearest first.
 */
export function overloads(p: FlatProblem): Overload[] {
  const walks = shortestWalksInto(p)
  const found: Overload[] = []
  for (const crew of crews(p))
    for (const [from, until] of intervals(p)) {
      const overload = overloadIn(p, crew, walks, from, until)
      if (overload !== null) found.push(overload)
    }
  found.sort((a, b) => b.cost - a.cost || excess(b) - excess(a) || a.until - a.from - (b.until - b.from))
  const used = new Set<number>()
  return found.filter((overload) => {
    if (overload.visits.some((v) => used.has(v))) return false
    for (const v of overload.visits) used.add(v)
    return true
  })
}

/** Visits that only these therapists may give, and these therapists. */
type Crew = { readonly routes: readonly number[]; readonly visits: readonly number[] }

/** One crew per set of therapists that some visit asks for, and the crew of all. Visits nobody may give are in none. */
function crews(p: FlatProblem): Crew[] {
  const everybody = workingRoutes(p)
  const sets = new Map<string, readonly number[]>([[everybody.join(), everybody]])
  const able: (readonly number[])[] = []
  for (let v = 0; v < p.visits; v++) {
    const routes = everybody.filter((k) => at(p.allowed, v * p.routes + k) === 1)
    able.push(routes)
    if (routes.length > 0) sets.set(routes.join(), routes)
  }
  return [...sets.values()].map((routes) => ({
    routes,
    visits: able.flatMap((of, v) => (of.length > 0 && of.every((k) => routes.includes(k)) ? [v] : [])),
  }))
}

/**
 * Per visit, the shortest time between the end of whatever comes before it on its route and its own start. From an
 * earlier dose of the same patient there is no way to walk, but the gap to wait for.
 */
function shortestWalksInto(p: FlatProblem): Int32Array {
  return Int32Array.from({ length: p.visits }, (_, v) => {
    let least = NEVER
    for (let a = 0; a < p.visits + 2 * p.routes; a++) {
      if (a === v) continue
      let way = at(p.walkInto, v * p.nodes + a)
      if (a < p.visits && at(p.group, a) === at(p.group, v)) {
        if (at(p.doseRank, a) > at(p.doseRank, v)) continue
        way = Math.max(way, at(p.gap, at(p.group, v)) - at(p.duration, a))
      }
      if (way < least) least = way
    }
    return least === NEVER ? 0 : least
  })
}

/** Minutes too many. */
export const excess = (overload: Overload): number =>
  overload.neededMinutes + overload.walkingMinutes - overload.presentMinutes

function intervals(p: FlatProblem): [number, number][] {
  const starts = new Set<number>()
  const ends = new Set<number>()
  for (let v = 0; v < p.visits; v++) {
    starts.add(at(p.early, v))
    ends.add(at(p.freeUntil, v) + at(p.duration, v))
    ends.add(at(p.last, v) + at(p.duration, v))
  }
  const most = Math.min(MOST_ENDS, Math.floor(Math.sqrt(MOST_LOOKS / Math.max(1, p.visits))))
  const all: [number, number][] = []
  for (const from of thinned(starts, most))
    for (const until of thinned(ends, most)) if (until > from) all.push([from, until])
  return all
}

function thinned(times: ReadonlySet<number>, most: number): number[] {
  const sorted = [...times].sort((a, b) => a - b)
  const step = Math.ceil(sorted.length / most)
  return sorted.filter((_, i) => i % step === 0)
}

/** Minutes of something of this length, startable in [early, late], that cannot avoid [from, until). */
function unavoidable(length: number, early: number, late: number, from: number, until: number): number {
  return Math.max(0, Math.min(length, until - from, early + length - from, until - late))
}

/** Minutes of these therapists (by default all) in [from, until), less what their breaks cannot avoid. */
export function presentMinutes(
  p: FlatProblem,
  from: number,
  until: number,
  routes: readonly number[] = workingRoutes(p),
): number {
  let minutes = 0
  for (const k of routes) {
    const here = Math.min(until, at(p.last, endNode(p, k))) - Math.max(from, at(p.early, startNode(p, k)))
    if (here <= 0) continue
    const rest = breakNode(p, k)
    const resting =
      at(p.hasBreak, k) === 1
        ? unavoidable(at(p.duration, rest), at(p.early, rest), at(p.last, rest), from, until)
        : 0
    minutes += Math.max(0, here - resting)
  }
  return minutes
}

const workingRoutes = (p: FlatProblem): number[] =>
  Array.from({ length: p.routes }, (_, k) => k).filter((k) => worksAtAll(p, k))

function worksAtAll(p: FlatProblem, k: number): boolean {
  for (let v = 0; v < p.visits; v++) if (at(p.allowed, v * p.routes + k) === 1) return true
  return false
}

function overloadIn(
  p: FlatProblem,
  crew: Crew,
  walks: Int32Array,
  from: number,
  until: number,
): Overload | null {
  const visits: number[] = []
  const inside: number[] = []
  let needed = 0
  for (const v of crew.visits) {
    const length = at(p.duration, v)
    const late = Math.min(at(p.freeUntil, v), at(p.last, v))
    const minutes = unavoidable(length, at(p.early, v), late, from, until)
    if (minutes === 0) continue
    visits.push(v)
    needed += minutes
    if (at(p.early, v) >= from && late + length <= until) inside.push(v)
  }
  const walking = walkingInside(p, crew, inside, walks, from)
  const presence = presentMinutes(p, from, until, crew.routes)
  if (needed + walking <= presence) return null
  const confined = new Set(inside)
  const steps = visits.flatMap((v) => reliefOf(p, v, confined.has(v) ? at(walks, v) : 0, from, until))
  const cost = cheapestRelief(steps, needed + walking - presence)
  return {
    from,
    until,
    neededMinutes: needed,
    walkingMinutes: walking,
    presentMinutes: presence,
    cost,
    visits,
    routes: crew.routes,
  }
}

/**
 * Walking to visits that lie wholly inside. Somebody who is there before `from` may have walked to the first of them
 * already: so many of the longest walks do not count.
 */
function walkingInside(
  p: FlatProblem,
  crew: Crew,
  inside: readonly number[],
  walks: Int32Array,
  from: number,
): number {
  const before = crew.routes.filter((k) => at(p.early, startNode(p, k)) < from).length
  return inside
    .map((v) => at(walks, v))
    .sort((a, b) => b - a)
    .slice(before)
    .reduce((sum, walk) => sum + walk, 0)
}

/** Minutes that can be taken out of an interval, and what each costs at least. */
type Relief = { readonly minutes: number; readonly rate: number }

/**
 * What taking one visit's minutes out of an interval costs at least. It can be late, which frees a minute for each
 * minute and perhaps its walk, as far as lateness helps; or it can be left out. Mixtures count too: the lower convex hull.
 */
function reliefOf(p: FlatProblem, v: number, walk: number, from: number, until: number): Relief[] {
  const length = at(p.duration, v)
  const minutesIf = (late: number) => unavoidable(length, at(p.early, v), late, from, until)
  const minutes = minutesIf(Math.min(at(p.freeUntil, v), at(p.last, v)))
  const byLateness = minutes - minutesIf(at(p.last, v))
  const late = [1, byLateness].map((x) => ({ minutes: x + walk, cost: x * at(p.freeRate, v) }))
  const choices = at(p.last, v) > at(p.freeUntil, v) ? late.filter((choice) => choice.minutes > walk) : []
  return lowerHull([...choices, { minutes: minutes + walk, cost: at(p.drop, v) }])
}

/** The segments of the lower convex hull from (0, 0) through points of ascending minutes, to the last of them. */
function lowerHull(points: readonly { readonly minutes: number; readonly cost: number }[]): Relief[] {
  const segments: Relief[] = []
  let from = { minutes: 0, cost: 0 }
  const last = points[points.length - 1] ?? from
  while (from.minutes < last.minutes) {
    const origin = from
    const rate = (point: typeof origin) => (point.cost - origin.cost) / (point.minutes - origin.minutes)
    const ahead = points.filter((point) => point.minutes > origin.minutes)
    const next = ahead.reduce((best, point) => (rate(point) <= rate(best) ? point : best))
    segments.push({ minutes: next.minutes - origin.minutes, rate: rate(next) })
    from = next
  }
  return segments
}

function cheapestRelief(reliefs: Relief[], minutes: number): number {
  let rest = minutes
  let cost = 0
  for (const relief of [...reliefs].sort((a, b) => a.rate - b.rate)) {
    const taken = Math.min(rest, relief.minutes)
    cost += taken * relief.rate
    rest -= taken
    if (rest === 0) break
  }
  return Math.ceil(cost - 1e-6)
}
