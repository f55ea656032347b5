import { compile } from './compile.ts'
import { at } from './engine/at.ts'
import { construct } from './engine/construct.ts'
import type { PlanState } from './engine/plan-state.ts'
import { loadPlan, type PricedPlan, pricedState } from './evaluate.ts'
import { constructed, improve } from './improve.ts'
import type { Shift, Therapist } from './model.ts'

/** What a department accepts: late minutes in all, and visits left out by priority 1…4. */
export type ServiceLevel = {
  readonly lateMinutes: number
  readonly dropped: readonly [number, number, number, number]
}

/** Nothing late, nothing left out. */
export const FULL_SERVICE: ServiceLevel = { lateMinutes: 0, dropped: [0, 0, 0, 0] }

export function meets(
  plan: Pick<PricedPlan, 'lateMinutes' | 'droppedByPriority'>,
  level: ServiceLevel,
): boolean {
  return (
    plan.lateMinutes <= level.lateMinutes &&
    plan.droppedByPriority.every((count, i) => count <= (level.dropped[i] as number))
  )
}

/** An extra pair of hands: where she starts, from when until when, and the floors on which the plan needs her. */
export type ExtraHands = {
  readonly unit: string
  readonly from: number
  readonly until: number
  readonly floors: readonly number[]
}

export type HelpFound<What> = { readonly help: What; readonly plan: PricedPlan }

export type HelpOptions = {
  readonly seed: number
  /** Search rounds for each trial. */
  readonly iterations: number
  readonly level: ServiceLevel
  /** Skills that an extra therapist brings. */
  readonly skills: readonly string[]
  readonly stop?: () => boolean
}

/** Lengths and starts of extra shifts are tried in steps of so many minutes. */
const STEP = 30
/** Of each length, the starts that cover most trouble are tried. */
const TRIED_STARTS = 4

/**
 * The shortest extra shift (in half hours) with which a plan reaches the service level: lengths from short to long,
 * each tried where most minutes are late or left out. Trials go on from the plan given. Null if none was found;
 * "found" means by search, so a shorter one may exist.
 */
export function extraHandsNeeded(
  shift: Shift,
  plan: PricedPlan,
  options: HelpOptions,
): HelpFound<ExtraHands> | null {
  const unit = shift.therapists[0]?.start.unit ?? shift.units[0]?.id
  if (unit === undefined) return null
  const need = trouble(shift, plan)
  for (let length = STEP; length <= shift.horizon; length += STEP)
    for (const from of startsByNeed(shift, need, length).slice(0, TRIED_STARTS)) {
      if (options.stop?.()) return null
      const hands = { unit, from, until: from + length }
      const tried = solveOn(withHands(shift, hands, options.skills), plan, options)
      if (meets(tried, options.level))
        return { help: { ...hands, floors: floorsOfLast(shift, tried) }, plan: tried }
    }
  return null
}

/** The floors on which the last therapist of a plan has visits. */
function floorsOfLast(shift: Shift, plan: PricedPlan): number[] {
  const floorOf = new Map(shift.units.map((unit) => [unit.id, unit.floor]))
  const unitOf = new Map(shift.patients.map((patient) => [patient.id, patient.unit]))
  const patientOf = new Map(shift.visits.map((visit) => [visit.id, visit.patient]))
  const stops = plan.schedule.at(-1)?.stops ?? []
  const floors = stops.flatMap(
    (stop) => floorOf.get(unitOf.get(patientOf.get(stop.visit ?? '') ?? '') ?? '') ?? [],
  )
  return [...new Set(floors)].sort((one, two) => one - two)
}

/** Plans a shift that has one more therapist than a plan, going on from that plan. */
function solveOn(shift: Shift, plan: PricedPlan, options: HelpOptions): PricedPlan {
  const compiled = compile(shift)
  const state = loadPlan(compiled, { routes: [...plan.plan.routes, []] })
  construct(state)
  improve(state, { seed: options.seed, effort: { iterations: options.iterations }, hot: 1 })
  return pricedState(compiled, state)
}

/** Minutes in which visits wait beyond their limit, or that a visit left out would have taken, per minute of the shift. */
function trouble(shift: Shift, plan: PricedPlan): Float64Array {
  const need = new Float64Array(shift.horizon + 1)
  const starts = new Map(
    plan.schedule.flatMap((item) => item.stops.map((stop) => [stop.visit, stop.start] as const)),
  )
  for (const visit of shift.visits) {
    const start = starts.get(visit.id)
    const late = start === undefined ? visit.duration : Math.max(0, start - visit.onTimeUntil)
    const until = start ?? visit.latest
    if (late === 0) continue
    const from = visit.earliest
    for (let minute = Math.max(0, from); minute < Math.min(shift.horizon, until); minute++)
      need[minute] = (need[minute] as number) + late / Math.max(1, until - from)
  }
  return need
}

function startsByNeed(shift: Shift, need: Float64Array, length: number): number[] {
  const starts = Array.from({ length: Math.floor((shift.horizon - length) / STEP) + 1 }, (_, i) => i * STEP)
  const covered = (from: number) => need.subarray(from, from + length).reduce((sum, value) => sum + value, 0)
  return starts.sort((a, b) => covered(b) - covered(a) || a - b)
}

/** The shift with one more therapist, who takes no break. */
export function withHands(shift: Shift, help: Omit<ExtraHands, 'floors'>, skills: readonly string[]): Shift {
  const taken = new Set(shift.therapists.map((therapist) => therapist.id))
  let id = 'extra'
  for (let i = 2; taken.has(id); i++) id = `extra-${i}`
  const extra: Therapist = {
    id,
    start: { unit: help.unit, time: help.from },
    end: { unit: help.unit, time: help.until },
    break: null,
    skills: [...skills],
  }
  return { ...shift, therapists: [...shift.therapists, extra] }
}

/** Plans a changed shift from nothing with a short search. */
export function solveQuickly(shift: Shift, options: Pick<HelpOptions, 'seed' | 'iterations'>): PricedPlan {
  const compiled = compile(shift)
  const state = constructed(compiled.flat)
  improve(state, { seed: options.seed, effort: { iterations: options.iterations } })
  return pricedState(compiled, state)
}

/**
 * The fewest of the convertible visits that, given in another form that needs no therapist, bring a plan to the
 * service level: one at a time the one whose leaving saves most, then the plan is searched again. Null if even all of
 * them do not suffice. Which visits may be converted is the department's protocol, given by the caller.
 */
export function conversionsNeeded(
  shift: Shift,
  convertible: readonly string[],
  options: HelpOptions,
): HelpFound<readonly string[]> | null {
  const converted: string[] = []
  const open = new Set(convertible)
  for (;;) {
    const rest = { ...shift, visits: shift.visits.filter((visit) => !converted.includes(visit.id)) }
    const compiled = compile(rest)
    const state = constructed(compiled.flat)
    improve(state, { seed: options.seed, effort: { iterations: options.iterations } })
    const plan = pricedState(compiled, state)
    if (meets(plan, options.level)) return { help: converted, plan }
    const ids = compiled.visits.map((visit) => visit.id)
    const next = mostRelieving(
      state,
      ids.flatMap((id, v) => (open.has(id) ? [v] : [])),
    )
    if (next < 0 || options.stop?.()) return null
    const id = ids[next] as string
    open.delete(id)
    converted.push(id)
  }
}

/** The visit whose removal saves the plan most, −1 if there is none to choose from. */
function mostRelieving(state: PlanState, candidates: readonly number[]): number {
  const kept = state.buffer.slice()
  const cost = state.cost()
  let best = -1
  let most = Number.NEGATIVE_INFINITY
  for (const v of candidates) {
    let saved = at(state.p.drop, v)
    if (at(state.route, v) >= 0) {
      state.remove(v)
      state.settleRemovals()
      saved = cost - state.cost() + at(state.p.drop, v)
      state.buffer.set(kept)
    }
    if (saved > most) {
      most = saved
      best = v
    }
  }
  return best
}
