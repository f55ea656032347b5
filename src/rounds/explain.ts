import { type Binding, Bindings } from './binding.ts'
import { compile } from './compile.ts'
import { type Day, Places, promisesOf, standingFrom } from './day.ts'
import { at } from './engine/at.ts'
import { endNode, startNode } from './engine/flat.ts'
import type { PlanState } from './engine/plan-state.ts'
import { loadPlan } from './evaluate.ts'
import { BREAK, type PromisedVisit, type Shift, type Visit } from './model.ts'
import { rankOf, type Stop, walkMinutes } from './standing.ts'

/** Another place for a visit: who, when, and what the whole plan would cost more (negative: less). */
export type Alternative = { readonly therapist: string; readonly start: number; readonly extraPoints: number }

/** Why a visit is when it is and with whom, and what other places would cost. */
export type Explanation = {
  readonly visit: string
  readonly therapist: string
  readonly start: number
  readonly window: { readonly earliest: number; readonly onTimeUntil: number; readonly latest: number }
  readonly lateMinutes: number
  readonly binding: Binding
  /** Minutes on the way to it, and points for entering its room after the one before. */
  readonly walkMinutes: number
  readonly isolationPoints: number
  readonly promised: PromisedVisit | null
  /** Cheapest place with an earlier start, with a later start, and with each other therapist; null where there is none. */
  readonly earlier: Alternative | null
  readonly later: Alternative | null
  readonly byTherapist: readonly Alternative[]
  readonly leftOut: { readonly extraPoints: number }
}

/** Thrown when the visit asked about is not part of the plan. */
export class NotPlanned extends Error {
  override readonly name = 'NotPlanned'
}

/**
 * Explains one visit of a plan. The alternatives are computed by taking the visit out and pricing the whole plan with
 * it at every other possible place.
 * @throws NotPlanned
 */
export function explainVisit(day: Day, visitId: string): Explanation {
  const { k, index, stop } = findStop(day, visitId)
  const { shift } = day
  const places = new Places(shift)
  const therapist = shift.therapists[k] as Shift['therapists'][number]
  const before = day.schedule[k]?.stops[index - 1]
  const from = before === undefined ? places.unit(therapist.start.unit) : places.of(before, therapist)
  const rankBefore =
    before === undefined || before.visit === null ? 0 : rankOf(places.patientOf(before.visit))
  const visit = places.visit(visitId)
  const others = alternatives(day, visit, therapist.id, stop.start)
  return {
    visit: visitId,
    therapist: therapist.id,
    start: stop.start,
    window: { earliest: visit.earliest, onTimeUntil: visit.onTimeUntil, latest: visit.latest },
    lateMinutes: Math.max(0, stop.start - visit.onTimeUntil),
    binding: new Bindings(day).of(k, index),
    walkMinutes: walkMinutes(shift, from, places.of(stop, therapist)),
    isolationPoints: (shift.weights.isolation[rankBefore] as number[])[
      rankOf(places.patientOf(visitId))
    ] as number,
    promised: (shift.previousPlan ?? []).find((item) => item.visit === visitId) ?? null,
    ...others,
  }
}

function findStop(
  day: Day,
  visit: string,
): { readonly k: number; readonly index: number; readonly stop: Stop } {
  for (let k = 0; k < day.schedule.length; k++) {
    const stops = day.schedule[k]?.stops ?? []
    const index = stops.findIndex((stop) => stop.visit === visit)
    if (index >= 0) return { k, index, stop: stops[index] as Stop }
  }
  throw new NotPlanned(`visit ${visit} is not in the plan`)
}

function alternatives(day: Day, visit: Visit, therapist: string, start: number) {
  const { shift } = day
  const standing = standingFrom(day, Math.min(...shift.therapists.map((item) => item.start.time)), [])
  const compiled = compile({ ...shift, previousPlan: promisesOf(day.schedule) }, standing)
  const routes = day.schedule.map(({ stops }) => stops.map((stop) => stop.visit ?? BREAK))
  const state = loadPlan(compiled, { routes })
  const cost = state.cost()
  const v = compiled.visits.findIndex((item) => item.id === visit.id)
  state.remove(v)
  state.settleRemovals()
  const without = state.buffer.slice()
  const all: Alternative[] = []
  shift.therapists.forEach(({ id }, k) => {
    for (const place of placesOn(state, v, k)) {
      state.insert(v, place)
      if (!state.broken)
        all.push({ therapist: id, start: at(state.start, v), extraPoints: state.cost() - cost })
      state.buffer.set(without)
    }
  })
  const cheapest = (list: readonly Alternative[]) =>
    list.reduce<Alternative | null>((a, b) => (a === null || b.extraPoints < a.extraPoints ? b : a), null)
  return {
    earlier: cheapest(all.filter((item) => item.start < start)),
    later: cheapest(all.filter((item) => item.start > start)),
    byTherapist: shift.therapists.flatMap(({ id }) => {
      const best = id === therapist ? null : cheapest(all.filter((item) => item.therapist === id))
      return best === null ? [] : [best]
    }),
    leftOut: { extraPoints: state.cost() - cost },
  }
}

function placesOn(state: PlanState, v: number, k: number): number[] {
  const { p } = state
  if (at(p.allowed, v * p.routes + k) === 0) return []
  const list: number[] = []
  for (let a = startNode(p, k); a !== endNode(p, k); a = at(state.next, a)) list.push(a)
  return list
}
