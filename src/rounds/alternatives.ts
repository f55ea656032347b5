import { type Compiled, compile } from './compile.ts'
import { type Day, promisesOf, standingFrom } from './day.ts'
import { at } from './engine/at.ts'
import type { PlanState } from './engine/plan-state.ts'
import { loadPlan, type PlanParts, pricedState } from './evaluate.ts'
import { BREAK, type Visit } from './model.ts'
import { type PlaceTried, placesFor } from './replan/kept-state.ts'
import type { Settled } from './replan/settle.ts'

/** Another visit that an alternative makes later, and what that costs it. */
export type PushedVisit = {
  readonly visit: string
  readonly patient: string
  readonly therapist: string
  readonly byMinutes: number
  /** Minutes beyond its on-time limit that it would have more than now. */
  readonly moreLateMinutes: number
}

/** Another place for a visit: who, when, what the whole plan would cost more (negative: less), by part and to whom. */
export type Alternative = {
  readonly therapist: string
  readonly start: number
  readonly extraPoints: number
  readonly extraParts: PlanParts
  readonly pushed: readonly PushedVisit[]
}

export type Alternatives = {
  /** Cheapest place with an earlier start, with a later start, and with each other therapist who can; null or absent where there is none. */
  readonly earlier: Alternative | null
  readonly later: Alternative | null
  readonly byTherapist: readonly Alternative[]
  readonly leftOut: { readonly extraPoints: number }
  /** Where it is, it may begin as late as this at no cost to anybody, and as late as that without breaking a rule. */
  readonly slipsFreeUntil: number
  readonly slipsUntil: number
}

/** What other places for an open visit would cost, with the plan in force as the promise. */
export function alternativesFor(
  day: Day,
  settled: Settled,
  visit: Visit,
  start: number,
  now: number,
): Alternatives {
  const pins = day.pins.filter((pin) => pin.visit !== visit.id)
  const standing = standingFrom({ ...day, pins }, now, settled.done)
  const compiled = compile({ ...day.shift, previousPlan: promisesOf(day.schedule) }, standing)
  const routes = settled.open.map((stops) => stops.map((stop) => stop.visit ?? BREAK))
  const state = loadPlan(compiled, { routes })
  const v = compiled.visits.findIndex((item) => item.id === visit.id)
  const base: Base = {
    compiled,
    state,
    v,
    kept: state.buffer.slice(),
    cost: state.cost(),
    parts: partsOf(compiled, state),
  }
  const own = at(state.route, v)
  const slips = {
    slipsFreeUntil: Math.min(at(state.free, v), at(state.hard, v)),
    slipsUntil: at(state.hard, v),
  }
  state.remove(v)
  state.settleRemovals()
  const all = placesFor(state, v)
  const leftOut = { extraPoints: state.cost() - base.cost }
  const without = state.buffer.slice()
  const told = (place: PlaceTried | null) => (place === null ? null : read(base, without, place))
  return {
    earlier: told(cheapest(all.filter((place) => place.start < start))),
    later: told(cheapest(all.filter((place) => place.start > start))),
    byTherapist: day.shift.therapists.flatMap((_, k) => {
      const best = k === own ? null : told(cheapest(all.filter((place) => place.route === k)))
      return best === null ? [] : [best]
    }),
    leftOut,
    ...slips,
  }
}

type Base = {
  readonly compiled: Compiled
  readonly state: PlanState
  readonly v: number
  readonly kept: Int32Array
  readonly cost: number
  readonly parts: PlanParts
}

const partsOf = (compiled: Compiled, state: PlanState): PlanParts => pricedState(compiled, state).parts

const cheapest = (list: readonly PlaceTried[]): PlaceTried | null =>
  list.reduce<PlaceTried | null>((a, b) => (a === null || b.cost < a.cost ? b : a), null)

/** Puts the visit there once more and reads what changed. */
function read(base: Base, without: Int32Array, place: PlaceTried): Alternative {
  const { compiled, state, v } = base
  state.buffer.set(base.kept)
  const before = state.start.slice()
  state.buffer.set(without)
  state.insert(v, place.after)
  const parts = partsOf(compiled, state)
  const alternative = {
    therapist: compiled.shift.therapists[place.route]?.id ?? '',
    start: place.start,
    extraPoints: place.cost - base.cost,
    extraParts: minus(parts, base.parts),
    pushed: pushedBy(base, before),
  }
  state.buffer.set(without)
  return alternative
}

function minus(a: PlanParts, b: PlanParts): PlanParts {
  const keys = Object.keys(a) as (keyof PlanParts)[]
  return Object.fromEntries(keys.map((key) => [key, a[key] - b[key]])) as PlanParts
}

function pushedBy({ compiled, state, v }: Base, before: Int32Array): PushedVisit[] {
  return compiled.visits.flatMap((visit, other) => {
    const route = at(state.route, other)
    if (other === v || route < 0) return []
    const byMinutes = at(state.start, other) - at(before, other)
    if (byMinutes <= 0) return []
    const late = (minute: number) => Math.max(0, minute - visit.onTimeUntil)
    const moreLateMinutes = late(at(state.start, other)) - late(at(before, other))
    const therapist = compiled.shift.therapists[route]?.id ?? ''
    return [{ visit: visit.id, patient: visit.patient, therapist, byMinutes, moreLateMinutes }]
  })
}
