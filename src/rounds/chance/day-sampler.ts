import { type Compiled, compile } from '../compile.ts'
import { type Day, standingFrom } from '../day.ts'
import { at } from '../engine/at.ts'
import { type FlatProblem, NEVER, startNode } from '../engine/flat.ts'
import { afterAway } from '../engine/plan-tables.ts'
import type { Random } from '../engine/random.ts'
import { topological } from '../engine/topological.ts'
import { loadPlan } from '../evaluate.ts'
import { BREAK, type Visit } from '../model.ts'
import type { Stop } from '../standing.ts'
import { type Factor, lognormal, type Scatter } from './scatter.ts'

/** A visit in course at the minute from which days are drawn. */
type Running = { readonly start: number; readonly planned: number; readonly factor: Factor }

/** Tries at drawing a length that is longer than what has passed already. */
const TRIES = 40

/**
 * Draws days: the starts of the visits still to come when durations and walks scatter and the sequences are kept.
 * A visit that the plan holds at a later minute than it could begin is not begun before that minute.
 */
export class DaySampler {
  /** The visits still to come, each after everything it waits for. */
  readonly visits: readonly Visit[]
  private readonly now: number
  private readonly flat: FlatProblem
  private readonly order: readonly number[]
  private readonly before: Int32Array
  private readonly dose: Int32Array
  private readonly floor: Int32Array
  private readonly factors: readonly Factor[]
  private readonly walkFactor: Factor
  private readonly running: readonly (Running | null)[]
  private readonly start: Int32Array
  private readonly end: Int32Array

  /** `begun` tells how many stops of each therapist are finished or running at `now`. */
  constructor(day: Day, now: number, begun: readonly number[], scatter: Scatter) {
    const done = day.schedule.map(({ stops }, k) => stops.slice(0, begun[k] ?? 0))
    const open = day.schedule.map(({ stops }, k) => stops.slice(begun[k] ?? 0))
    const compiled = unlimited(compile({ ...day.shift, previousPlan: null }, standingFrom(day, now, done)))
    const { flat, visits } = compiled
    const state = loadPlan(compiled, {
      routes: open.map((stops) => stops.map((stop) => stop.visit ?? BREAK)),
    })
    const factorOf = (visit: Visit | undefined): Factor =>
      lognormal(scatter.durationCvByKind?.[visit?.kind ?? ''] ?? scatter.durationCv, scatter.planned)
    this.now = now
    this.flat = flat
    this.order = topological(state)
    this.before = state.prev.slice()
    this.dose = state.dosePrev.slice()
    this.visits = this.order.filter((node) => node < flat.visits).map((node) => visits[node] as Visit)
    const shown = new Map(open.flat().map((stop) => [stop.visit, stop.start]))
    this.floor = flat.early.map((early, node) => {
      const planned = shown.get(visits[node]?.id ?? '') ?? early
      return planned > at(state.start, node) ? planned : early
    })
    this.factors = visits.map(factorOf)
    this.walkFactor = lognormal(scatter.walkCv, scatter.planned)
    this.running = done.map((stops) => runningAt(stops.at(-1), day, now, factorOf))
    this.start = new Int32Array(flat.nodes)
    this.end = new Int32Array(flat.nodes)
  }

  /** Starts of `visits`, in their order, on one random day. */
  draw(random: Random): Int32Array {
    const { flat } = this
    const drawn = new Int32Array(this.visits.length)
    for (let k = 0; k < flat.routes; k++) this.end[startNode(flat, k)] = this.freeAt(k, random)
    let count = 0
    for (const b of this.order) {
      const a = at(this.before, b)
      const walk = at(flat.walk, a * flat.nodes + b)
      const dose = at(this.dose, b)
      let t = Math.max(at(this.floor, b), at(this.end, a) + Math.round(walk * this.walkFactor(random)))
      if (b < flat.visits && dose >= 0)
        t = Math.max(t, at(this.start, dose) + at(flat.gap, at(flat.group, b)))
      if (b < flat.visits) t = afterAway(flat, b, t)
      this.start[b] = t
      const factor = b < flat.visits ? (this.factors[b] as Factor)(random) : 1
      this.end[b] = t + Math.round(at(flat.duration, b) * factor)
      if (b < flat.visits) drawn[count++] = t
    }
    return drawn
  }

  private freeAt(k: number, random: Random): number {
    const running = this.running[k]
    if (!running) return at(this.flat.early, startNode(this.flat, k))
    for (let i = 0; i < TRIES; i++) {
      const end = running.start + Math.round(running.planned * running.factor(random))
      if (end > this.now) return end
    }
    return this.now + 1
  }
}

/** The sequences are what counts here: on a day that runs late a last acceptable start may be missed. */
const unlimited = (compiled: Compiled): Compiled => ({
  ...compiled,
  flat: { ...compiled.flat, last: new Int32Array(compiled.flat.nodes).fill(NEVER) },
})

function runningAt(
  stop: Stop | undefined,
  day: Day,
  now: number,
  factorOf: (visit: Visit | undefined) => Factor,
): Running | null {
  if (stop === undefined || stop.visit === null || stop.end < now) return null
  const visit = day.shift.visits.find((item) => item.id === stop.visit)
  return { start: stop.start, planned: visit?.duration ?? stop.end - stop.start, factor: factorOf(visit) }
}
