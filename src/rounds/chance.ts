import { compile } from './compile.ts'
import { type Day, standingFrom } from './day.ts'
import { at } from './engine/at.ts'
import type { FlatProblem } from './engine/flat.ts'
import { afterAway } from './engine/plan-tables.ts'
import { Random } from './engine/random.ts'
import { loadPlan } from './evaluate.ts'
import { BREAK } from './model.ts'

/** How far durations and walking times scatter about what is planned. */
export type Scatter = {
  /** Coefficient of variation of a visit's duration, and of each walk. Means are the planned values. */
  readonly durationCv: number
  readonly walkCv: number
}

/** `common practice, no source`: used until a department has measured its own. */
export const USUAL_SCATTER: Scatter = { durationCv: 0.25, walkCv: 0.3 }

/** The chance that a visit starts by its on-time limit, and the middle and late end of its likely starts. */
export type OnTimeChance = {
  readonly visit: string
  readonly chance: number
  readonly medianStart: number
  /** Nine days out of ten it starts by then. */
  readonly start90: number
}

export type ChanceOptions = { readonly samples: number; readonly seed: number; readonly scatter: Scatter }

/**
 * Chance of being on time for every visit still to come: durations and walks are drawn from lognormal distributions and
 * pushed through the earliest-start schedule with the sequences as they are. The same seed gives the same answer.
 */
export function onTimeChances(
  day: Day,
  now: number,
  done: readonly number[],
  options: ChanceOptions,
): OnTimeChance[] {
  const sampler = new DaySampler(day, now, done, options.scatter)
  const random = new Random(options.seed)
  const starts = Array.from({ length: options.samples }, () => sampler.draw(random))
  return sampler.visits.map((visit, i) => {
    const sorted = Int32Array.from(starts, (sample) => at(sample, i)).sort()
    const onTime = sorted.filter((start) => start <= visit.onTimeUntil).length
    return {
      visit: visit.id,
      chance: sorted.length === 0 ? 0 : onTime / sorted.length,
      medianStart: sorted[Math.floor(sorted.length / 2)] ?? 0,
      start90: sorted[Math.min(sorted.length - 1, Math.ceil(0.9 * sorted.length) - 1)] ?? 0,
    }
  })
}

/** Draws days: the starts of the visits still to come when durations and walks scatter. */
export class DaySampler {
  /** The visits still to come, in an order in which each follows everything it waits for. */
  readonly visits: readonly { readonly id: string; readonly onTimeUntil: number }[]
  private readonly flat: FlatProblem
  private readonly order: Int32Array
  private readonly before: Int32Array
  private readonly dose: Int32Array
  private readonly durationDraw: Lognormal
  private readonly walkDraw: Lognormal
  private readonly start: Int32Array
  private readonly end: Int32Array

  /** `done` tells how many stops of each therapist are finished or running at `now`. */
  constructor(day: Day, now: number, done: readonly number[], scatter: Scatter) {
    const standing = standingFrom(
      day,
      now,
      day.schedule.map(({ stops }, k) => stops.slice(0, done[k] ?? 0)),
    )
    const compiled = compile({ ...day.shift, previousPlan: null }, standing)
    const routes = day.schedule.map(({ stops }, k) =>
      stops.slice(done[k] ?? 0).map((stop) => stop.visit ?? BREAK),
    )
    const state = loadPlan(compiled, { routes })
    const { flat } = compiled
    this.flat = flat
    const stops = state.routes().flat()
    stops.sort(
      (a, b) => at(state.start, a) - at(state.start, b) || at(flat.duration, a) - at(flat.duration, b),
    )
    this.order = Int32Array.from(topological(stops, state.prev, state.dosePrev))
    this.before = state.prev.slice()
    this.dose = state.dosePrev.slice()
    this.visits = [...this.order]
      .filter((node) => node < flat.visits)
      .map((node) => {
        const visit = compiled.visits[node] as (typeof compiled.visits)[number]
        return { id: visit.id, onTimeUntil: visit.onTimeUntil }
      })
    this.durationDraw = lognormal(scatter.durationCv)
    this.walkDraw = lognormal(scatter.walkCv)
    this.start = new Int32Array(flat.nodes)
    this.end = new Int32Array(flat.nodes)
  }

  /** Starts of `visits`, in their order, on one random day. */
  draw(random: Random): Int32Array {
    const { flat } = this
    const drawn = new Int32Array(this.visits.length)
    let count = 0
    for (const b of this.order) {
      const a = at(this.before, b)
      const leave = at(this.before, a) < 0 ? at(flat.early, a) : at(this.end, a)
      const walk = at(flat.walk, a * flat.nodes + b)
      let t = Math.max(at(flat.early, b), leave + Math.round(walk * this.walkDraw(random)))
      const dose = at(this.dose, b)
      if (dose >= 0) t = Math.max(t, at(this.start, dose) + at(flat.gap, at(flat.group, b)))
      if (b < flat.visits) t = afterAway(flat, b, t)
      this.start[b] = t
      this.end[b] = t + Math.round(at(flat.duration, b) * (b < flat.visits ? this.durationDraw(random) : 1))
      if (b < flat.visits) drawn[count++] = t
    }
    return drawn
  }
}

/** Stops in an order in which each comes after its predecessor in the route and the patient's dose before. */
function topological(stops: readonly number[], before: Int32Array, dose: Int32Array): number[] {
  const order: number[] = []
  const waiting = new Set(stops)
  const place = (node: number) => {
    if (!waiting.delete(node)) return
    if (at(before, node) >= 0) place(at(before, node))
    if (at(dose, node) >= 0) place(at(dose, node))
    order.push(node)
  }
  for (const node of stops) place(node)
  return order
}

type Lognormal = (random: Random) => number

/** A factor with mean 1 and the given coefficient of variation. */
function lognormal(cv: number): Lognormal {
  const sigma = Math.sqrt(Math.log(1 + cv * cv))
  return (random) => Math.exp(sigma * random.normal() - (sigma * sigma) / 2)
}

/** One line of a reliability table: of the visits given a chance in this range, how many were on time. */
export type ReliabilityRow = {
  readonly from: number
  readonly until: number
  readonly visits: number
  readonly meanChance: number
  readonly onTimeShare: number
}

/** Compares chances with what happened, in ranges of equal width; ranges without visits are left out. */
export function reliabilityTable(
  pairs: readonly { readonly chance: number; readonly onTime: boolean }[],
  ranges: number,
): ReliabilityRow[] {
  return Array.from({ length: ranges }, (_, i) => {
    const from = i / ranges
    const until = (i + 1) / ranges
    const inside = pairs.filter(
      ({ chance }) => chance >= from && (chance < until || (i === ranges - 1 && chance <= 1)),
    )
    const mean = (values: number[]) => values.reduce((sum, value) => sum + value, 0) / values.length
    return {
      from,
      until,
      visits: inside.length,
      meanChance: inside.length === 0 ? 0 : mean(inside.map(({ chance }) => chance)),
      onTimeShare: inside.length === 0 ? 0 : mean(inside.map(({ onTime }) => (onTime ? 1 : 0))),
    }
  }).filter((row) => row.visits > 0)
}
