import { type Alternatives, alternativesFor } from './alternatives.ts'
import { type Binding, Bindings } from './binding.ts'
import { begunBy, type Day, Places } from './day.ts'
import type { PromisedVisit, Shift } from './model.ts'
import { settle } from './replan/settle.ts'
import { type Pin, rankOf, type Stop, walkMinutes } from './standing.ts'

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
  readonly pin: Pin | null
  /** Open visits have alternatives; what has begun, or begins within the frozen minutes, has none. */
  readonly standing: 'open' | 'frozen' | 'begun'
  readonly alternatives: Alternatives | null
}

/** The minute from which others places are looked for, and what is not touched any more. */
export type ExplainOptions = {
  readonly now: number
  readonly freezeMinutes: number
  /** What has really been begun, per therapist; by default what the plan says. */
  readonly begun?: readonly (readonly Stop[])[]
}

/** Thrown when the visit asked about is not part of the plan. */
export class NotPlanned extends Error {
  override readonly name = 'NotPlanned'
}

/**
 * Explains one visit of the plan in force. Alternatives begin no earlier than a therapist can be there from where she
 * is at `now`; they are found by taking the visit out and pricing the whole plan with it at every other place.
 * @throws NotPlanned
 */
export function explainVisit(day: Day, visitId: string, options: ExplainOptions): Explanation {
  const { k, index, stop } = findStop(day, visitId)
  const { shift } = day
  const places = new Places(shift)
  const visit = places.visit(visitId)
  const begun = options.begun ?? begunBy(day, options.now)
  const settled = settle(day, begun, options.now, options.freezeMinutes)
  const open = settled.open[k]?.some((item) => item.visit === visitId) ?? false
  const hasBegun = begun[k]?.some((item) => item.visit === visitId) ?? false
  return {
    visit: visitId,
    therapist: (shift.therapists[k] as Shift['therapists'][number]).id,
    start: stop.start,
    window: { earliest: visit.earliest, onTimeUntil: visit.onTimeUntil, latest: visit.latest },
    lateMinutes: Math.max(0, stop.start - visit.onTimeUntil),
    binding: new Bindings(day).of(k, index),
    ...wayTo(day, places, k, index),
    promised: (shift.previousPlan ?? []).find((item) => item.visit === visitId) ?? null,
    pin: day.pins.find((pin) => pin.visit === visitId) ?? null,
    standing: open ? 'open' : hasBegun ? 'begun' : 'frozen',
    alternatives: open ? alternativesFor(day, settled, visit, stop.start, options.now) : null,
  }
}

function wayTo(day: Day, places: Places, k: number, index: number) {
  const { shift } = day
  const therapist = shift.therapists[k] as Shift['therapists'][number]
  const stops = day.schedule[k]?.stops ?? []
  const stop = stops[index] as Stop
  const before = stops[index - 1]
  const from = before === undefined ? places.unit(therapist.start.unit) : places.of(before, therapist)
  const rank = before === undefined || before.visit === null ? 0 : rankOf(places.patientOf(before.visit))
  const order = shift.weights.isolation[rank] as number[]
  return {
    walkMinutes: walkMinutes(shift, from, places.of(stop, therapist)),
    isolationPoints: order[rankOf(places.patientOf(stop.visit as string))] as number,
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
