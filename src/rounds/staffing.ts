import { presentMinutes } from './bound/interval.ts'
import { compile } from './compile.ts'
import { at } from './engine/at.ts'
import type { FlatProblem } from './engine/flat.ts'
import type { PricedPlan } from './evaluate.ts'
import { type HelpOptions, meets, solveQuickly } from './help.ts'
import { type LeanCrew, leanCrew } from './lean-crew.ts'
import type { Shift, Therapist } from './model.ts'

/** One hour of the staffing curve. */
export type StaffingHour = {
  readonly from: number
  readonly until: number
  /** No plan at full service works with fewer than this many therapists here (minutes that cannot fall elsewhere). */
  readonly atLeast: number
  /** Therapists at work on average in the plan found with the smallest crew. */
  readonly busy: number
  /** Therapists there on average once the smallest crew's shifts are cut to what a plan at the level was found for. */
  readonly enough: number
}

/** What a crew of a size reaches, by search. */
export type StaffingPoint = {
  readonly crew: number
  readonly lateMinutes: number
  readonly droppedByPriority: readonly [number, number, number, number]
  readonly total: number
}

/** The smallest crew found that keeps the service level for a whole shift, what each hour asks, and the curve up to it. */
export type StaffingCurve = {
  readonly crew: number
  readonly plan: PricedPlan
  /** The same crew with shifts cut hour by hour, and its plan. */
  readonly lean: LeanCrew
  readonly hours: readonly StaffingHour[]
  /** One point per crew size that was searched, from small to large; sizes that surely do not suffice are not searched. */
  readonly points: readonly StaffingPoint[]
}

const HOUR = 60

/**
 * The smallest crew, found by search, with which a plan keeps the service level. Crews are made of the shift's own
 * therapists in order, and beyond them of copies of them. Null if a crew of `most` does not suffice, or when stopped.
 */
export function staffingCurve(shift: Shift, most: number, options: HelpOptions): StaffingCurve | null {
  const points: StaffingPoint[] = []
  for (let crew = 1; crew <= most; crew++) {
    if (options.stop?.()) return null
    const staffed = withCrew(shift, crew)
    if (options.level.dropped.every((count) => count === 0) && surelyTooFew(staffed)) continue
    const plan = solveQuickly(staffed, options)
    const { lateMinutes, droppedByPriority, total } = plan
    points.push({ crew, lateMinutes, droppedByPriority, total })
    if (!meets(plan, options.level)) continue
    const lean = leanCrew({ shift: staffed, plan }, options)
    return { crew, plan, lean, hours: hoursOf(staffed, plan, lean.shift), points }
  }
  return null
}

function withCrew(shift: Shift, crew: number): Shift {
  const own = shift.therapists
  const therapists = Array.from({ length: own.length === 0 ? 0 : crew }, (_, i) => {
    const model = own[i % own.length] as Therapist
    return i < own.length ? model : { ...model, id: `${model.id}+${Math.floor(i / own.length)}` }
  })
  return { ...shift, therapists, previousPlan: null }
}

/** More bedside minutes than the crew has, with nothing left out: no need to search. */
function surelyTooFew(shift: Shift): boolean {
  const { flat } = compile(shift)
  const needed = flat.duration.subarray(0, flat.visits).reduce((sum, minutes) => sum + minutes, 0)
  const from = Math.min(...shift.therapists.map((therapist) => therapist.start.time))
  const until = Math.max(...shift.therapists.map((therapist) => therapist.end.time))
  return needed > presentMinutes(flat, from, until)
}

function hoursOf(shift: Shift, plan: PricedPlan, lean: Shift): StaffingHour[] {
  const { flat } = compile(shift)
  return Array.from({ length: Math.ceil(shift.horizon / HOUR) }, (_, i) => {
    const from = i * HOUR
    const until = Math.min(shift.horizon, from + HOUR)
    return {
      from,
      until,
      atLeast: Math.ceil(neededMinutes(flat, from, until) / (until - from)),
      busy: busyMinutes(plan, from, until) / (until - from),
      enough: thereMinutes(lean, from, until) / (until - from),
    }
  })
}

/** Bedside minutes that cannot avoid the interval if nothing is late or left out. */
function neededMinutes(p: FlatProblem, from: number, until: number): number {
  let minutes = 0
  for (let v = 0; v < p.visits; v++) {
    const length = at(p.duration, v)
    const latest = at(p.freeUntil, v)
    minutes += Math.max(0, Math.min(length, until - from, at(p.early, v) + length - from, until - latest))
  }
  return minutes
}

function busyMinutes(plan: PricedPlan, from: number, until: number): number {
  return plan.schedule
    .flatMap((item) => item.stops)
    .filter((stop) => stop.visit !== null)
    .reduce((sum, stop) => sum + Math.max(0, Math.min(until, stop.end) - Math.max(from, stop.start)), 0)
}

function thereMinutes(shift: Shift, from: number, until: number): number {
  return shift.therapists.reduce(
    (sum, { start, end }) => sum + Math.max(0, Math.min(until, end.time) - Math.max(from, start.time)),
    0,
  )
}
