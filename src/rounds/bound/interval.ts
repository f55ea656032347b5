import { at } from '../engine/at.ts'
import { breakNode, endNode, type FlatProblem, startNode } from '../engine/flat.ts'

/** An interval in which there is more work than time, whatever the plan. */
export type Overload = {
  readonly from: number
  readonly until: number
  /** Minutes that must fall into the interval if nothing is late or left out, and minutes that are there. */
  readonly neededMinutes: number
  readonly presentMinutes: number
  /** What the excess costs at least, in lateness and visits left out. */
  readonly cost: number
  /** Visits with minutes that must fall into the interval. */
  readonly visits: readonly number[]
}

/** Interval ends are taken from the windows while there are no more than this many. */
const MOST_ENDS = 120

/**
 * Overloaded intervals by energetic reasoning: in any interval the minutes that visits cannot avoid spending in it must
 * fit into the minutes of the therapists present, breaks out (textbook argument of scheduling, from memory). The answer
 * holds intervals that share no visit, so their costs add up; dearest first.
 */
export function overloads(p: FlatProblem): Overload[] {
  const found: Overload[] = []
  for (const [from, until] of intervals(p)) {
    const overload = overloadIn(p, from, until)
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

const excess = (overload: Overload): number => overload.neededMinutes - overload.presentMinutes

function intervals(p: FlatProblem): [number, number][] {
  const starts = new Set<number>()
  const ends = new Set<number>()
  for (let v = 0; v < p.visits; v++) {
    starts.add(at(p.early, v))
    ends.add(at(p.freeUntil, v) + at(p.duration, v))
    ends.add(at(p.last, v) + at(p.duration, v))
  }
  const all: [number, number][] = []
  for (const from of thinned(starts))
    for (const until of thinned(ends)) if (until > from) all.push([from, until])
  return all
}

function thinned(times: ReadonlySet<number>): number[] {
  const sorted = [...times].sort((a, b) => a - b)
  const step = Math.ceil(sorted.length / MOST_ENDS)
  return sorted.filter((_, i) => i % step === 0)
}

/** Minutes of something of this length, startable in [early, late], that cannot avoid [from, until). */
function unavoidable(length: number, early: number, late: number, from: number, until: number): number {
  return Math.max(0, Math.min(length, until - from, early + length - from, until - late))
}

/** Minutes of all therapists in [from, until), less what their breaks cannot avoid. */
export function presentMinutes(p: FlatProblem, from: number, until: number): number {
  let minutes = 0
  for (let k = 0; k < p.routes; k++) {
    const here = Math.min(until, at(p.last, endNode(p, k))) - Math.max(from, at(p.early, startNode(p, k)))
    if (here <= 0 || !worksAtAll(p, k)) continue
    const rest = breakNode(p, k)
    const resting =
      at(p.hasBreak, k) === 1
        ? unavoidable(at(p.duration, rest), at(p.early, rest), at(p.last, rest), from, until)
        : 0
    minutes += Math.max(0, here - resting)
  }
  return minutes
}

function worksAtAll(p: FlatProblem, k: number): boolean {
  for (let v = 0; v < p.visits; v++) if (at(p.allowed, v * p.routes + k) === 1) return true
  return false
}

type Relief = { readonly minutes: number; readonly rate: number }

function overloadIn(p: FlatProblem, from: number, until: number): Overload | null {
  const presence = presentMinutes(p, from, until)
  const visits: number[] = []
  const reliefs: Relief[] = []
  let needed = 0
  for (let v = 0; v < p.visits; v++) {
    const length = at(p.duration, v)
    const minutes = unavoidable(
      length,
      at(p.early, v),
      Math.min(at(p.freeUntil, v), at(p.last, v)),
      from,
      until,
    )
    if (minutes === 0) continue
    visits.push(v)
    needed += minutes
    const even = unavoidable(length, at(p.early, v), at(p.last, v), from, until)
    reliefs.push(...reliefsOf(at(p.drop, v), at(p.freeRate, v), minutes, even))
  }
  if (needed <= presence) return null
  const cost = cheapestRelief(reliefs, needed - presence)
  return { from, until, neededMinutes: needed, presentMinutes: presence, cost, visits }
}

/** What it costs at least to take minutes out of an interval: lateness first, as far as it helps, then leaving out. */
function reliefsOf(drop: number, rate: number, minutes: number, evenIfLatest: number): Relief[] {
  const byLateness = minutes - evenIfLatest
  const perMinute = Math.min(rate, drop / minutes)
  const first = { minutes: byLateness, rate: perMinute }
  if (evenIfLatest === 0) return [first]
  return [first, { minutes: evenIfLatest, rate: (drop - perMinute * byLateness) / evenIfLatest }]
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
