import { compile } from './compile.ts'
import { beginDay, type Day } from './day.ts'
import { type PlanParts, pricedState, priceStops } from './evaluate.ts'
import { constructed, type Effort, improve } from './improve.ts'
import type { Shift, ShiftEvent } from './model.ts'
import { betterOffer, type RepairOptions, repair } from './replan.ts'
import { openingStanding } from './standing.ts'

export type ReplayOptions = RepairOptions & {
  /** For the first plan, for the search after each event, and for the plan that knew everything. */
  readonly planEffort: Effort
  readonly offerEffort: Effort
  readonly leastGain: number
  /** Reads a clock in milliseconds, for the times of repairs only. */
  readonly now: () => number
}

export type ReplayedEvent = {
  readonly event: ShiftEvent
  readonly repairMs: number
  /** Promises changed by the repair, and by the better plan if one was taken. */
  readonly changed: number
  readonly offered: number
  readonly ignored: string | null
}

export type ReplayReport = {
  readonly events: readonly ReplayedEvent[]
  /** What the day cost in the end, promises to patients only (no re-planning prices). */
  readonly realized: number
  readonly realizedParts: PlanParts
  /** What a plan cost that knew every event beforehand. */
  readonly clairvoyant: number
  readonly day: Day
}

/**
 * Plays the events of a shift: plans it without knowing them, repairs at each, takes better plans that are worth it,
 * and compares the day with a plan that knew everything.
 */
export function replay(shift: Shift, options: ReplayOptions): ReplayReport {
  let day = firstDay(shift, options)
  const events: ReplayedEvent[] = []
  for (const event of [...shift.events].sort((a, b) => a.time - b.time)) {
    const from = options.now()
    const repaired = repair(day, event, options)
    const repairMs = options.now() - from
    const offer = betterOffer(repaired, {
      seed: options.seed,
      effort: options.offerEffort,
      leastGain: options.leastGain,
    })
    day = offer?.day ?? repaired.day
    const { ignored } = repaired
    events.push({
      event,
      repairMs,
      changed: repaired.changes.length,
      offered: offer?.changes.length ?? 0,
      ignored,
    })
  }
  const stops = day.schedule.map((item) => item.stops)
  const final = priceStops({ ...day.shift, previousPlan: null }, stops)
  const clairvoyant = clairvoyantCost(shift, options)
  return { events, realized: final.total, realizedParts: final.parts, clairvoyant, day }
}

function firstDay(shift: Shift, options: ReplayOptions): Day {
  const compiled = compile({ ...shift, previousPlan: null })
  const state = constructed(compiled.flat)
  improve(state, { seed: options.seed, effort: options.planEffort })
  return beginDay(compiled.shift, pricedState(compiled, state).schedule)
}

/** The day as somebody would plan it who knew every event: the yardstick for planning as things happen. */
function clairvoyantCost(shift: Shift, options: ReplayOptions): number {
  const known = shift.events.reduce(foresee, { ...shift, previousPlan: null })
  const away = shift.events.flatMap((event) =>
    event.type === 'patient-away' ? [{ patient: event.patient, from: event.from, until: event.until }] : [],
  )
  const compiled = compile(known, { ...openingStanding(known), away })
  const state = constructed(compiled.flat)
  improve(state, { seed: options.seed, effort: options.planEffort })
  return pricedState(compiled, state).total
}

function foresee(shift: Shift, event: ShiftEvent): Shift {
  switch (event.type) {
    case 'new-visit':
      return { ...shift, visits: [...shift.visits, event.visit] }
    case 'cancel-visit':
      return { ...shift, visits: shift.visits.filter((visit) => visit.id !== event.visit) }
    case 'overrun':
      return {
        ...shift,
        visits: shift.visits.map((visit) =>
          visit.id === event.visit ? { ...visit, duration: visit.duration + event.extraMinutes } : visit,
        ),
      }
    case 'therapist-leaves':
      return {
        ...shift,
        therapists: shift.therapists.map((therapist) =>
          therapist.id === event.therapist ? leavingAt(therapist, event.time) : therapist,
        ),
      }
    case 'patient-away':
      return shift
  }
}

/** A therapist who goes home at a time known beforehand: what runs then is finished, so the end allows for walking. */
function leavingAt(therapist: Shift['therapists'][number], time: number): Shift['therapists'][number] {
  const rest = therapist.break !== null && therapist.break.latest + therapist.break.duration <= time
  return {
    ...therapist,
    end: { ...therapist.end, time: Math.min(therapist.end.time, Math.max(therapist.start.time, time)) },
    break: rest ? therapist.break : null,
  }
}
