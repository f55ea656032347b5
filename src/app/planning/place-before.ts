import { compile } from '../../rounds/compile.ts'
import { promisesOf } from '../../rounds/day.ts'
import { at } from '../../rounds/engine/at.ts'
import type { Decision } from '../../rounds/replan/decide.ts'
import { keptState, placesFor } from '../../rounds/replan/kept-state.ts'
import { visitWords } from './change-picture.ts'
import type { Desk } from './desk.ts'

type Found =
  | { readonly ok: true; readonly decision: Decision }
  | { readonly ok: false; readonly what: string; readonly todo: string }

/** Where a visit would begin if it were let go in front of another stop of the same therapist (null: at the end). */
export function placeBefore({ base, made }: Desk, visit: string, before: string | null): Found {
  const { day, standing } = made
  const k = day.schedule.findIndex(({ stops }) => stops.some((stop) => stop.visit === visit))
  const therapist = day.schedule[k]?.therapist
  const found = placesOf({ base, made }, visit).filter(({ route }) => route === k)
  const start = startBefore(day.schedule[k]?.stops ?? [], before)
  const fits = found.filter((place) => start === null || place.start <= start)
  // Of the places in front of that stop, the last one is where the knot was let go.
  const place = fits.sort((a, b) => b.start - a.start)[0]
  if (place && therapist !== undefined)
    return {
      ok: true,
      decision: { kind: 'place', visit, therapist, start: Math.max(place.start, standing.now) },
    }
  const planned = day.shift.visits.find(({ id }) => id === visit)
  return {
    ok: false,
    what: planned
      ? `${visitWords(base, visit)} does not fit there: it may begin from ${base.clock(planned.earliest)} to ${base.clock(planned.latest)}, and the stops around it must keep their own limits.`
      : `${visitWords(base, visit)} is no longer part of the plan.`,
    todo: 'The plan stays as it is.',
  }
}

function startBefore(
  stops: readonly { readonly visit: string | null; readonly start: number }[],
  before: string | null,
): number | null {
  if (before === null) return null
  const isBreak = before.startsWith('break ')
  return stops.find(({ visit }) => (isBreak ? visit === null : visit === before))?.start ?? null
}

/** Every place that takes the visit, with the rest of the plan as it is, and what the whole would cost more there. */
export function placesOf(
  { made }: Pick<Desk, 'base' | 'made'>,
  visit: string,
): { readonly route: number; readonly start: number; readonly extra: number }[] {
  const { day, standing } = made
  const compiled = compile({ ...day.shift, previousPlan: promisesOf(day.schedule) }, standing)
  const open = day.schedule.map(({ stops }, k) => stops.slice(standing.therapists[k]?.done.length ?? 0))
  const state = keptState(compiled, open)
  const v = compiled.visits.findIndex(({ id }) => id === visit)
  if (v < 0) return []
  const cost = state.cost()
  if (at(state.route, v) >= 0) {
    state.remove(v)
    state.settleRemovals()
  }
  return placesFor(state, v).map(({ route, start, cost: then }) => ({ route, start, extra: then - cost }))
}
