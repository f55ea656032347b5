import { begunBy, type Day } from './day.ts'
import type { Shift, ShiftEvent, Therapist, Visit } from './model.ts'
import type { Stop } from './standing.ts'

/** Thrown for an event that names somebody or something the shift does not know; the plan in force is kept. */
export class EventRefused extends Error {
  override readonly name = 'EventRefused'
  readonly event: ShiftEvent
  constructor(event: ShiftEvent, message: string) {
    super(`${message}; the plan in force is kept`)
    this.event = event
  }
}

/** The day once an event is known (its schedule still the plan in force), and what has begun if the plan was followed. */
export type EventOutcome = {
  readonly day: Day
  readonly begun: readonly (readonly Stop[])[]
  /** Why the event changed nothing, if so (for example: cancelled after it had begun). */
  readonly ignored: string | null
}

/**
 * Takes an event into the day.
 * @throws EventRefused
 */
export function takeEvent(day: Day, event: ShiftEvent): EventOutcome {
  requireKnown(day, event)
  const ignored = ignoredBecause(day, event)
  const next = ignored === null ? changedDay(day, event) : day
  const begun = begunBy(day, event.time).map((stops) =>
    stops.map((stop) => (ignored === null ? lengthened(stop, event) : stop)),
  )
  const added = next.shift.therapists.slice(begun.length).map(() => [])
  return { day: next, begun: [...begun, ...added], ignored }
}

function requireKnown(day: Day, event: ShiftEvent): void {
  const problem = problemWith(day.shift, event)
  if (problem !== null) throw new EventRefused(event, problem)
}

function problemWith(shift: Shift, event: ShiftEvent): string | null {
  const has = (list: readonly { readonly id: string }[], id: string) => list.some((item) => item.id === id)
  switch (event.type) {
    case 'new-visit':
      if (has(shift.visits, event.visit.id)) return `visit "${event.visit.id}" exists already`
      return has(shift.patients, event.visit.patient) ? null : `patient "${event.visit.patient}" is not known`
    case 'patient-away':
    case 'patient-back':
      return has(shift.patients, event.patient) ? null : `patient "${event.patient}" is not known`
    case 'therapist-leaves':
      return has(shift.therapists, event.therapist) ? null : `therapist "${event.therapist}" is not known`
    case 'therapist-comes':
      return comingProblem(shift, event.therapist, event.time)
    case 'overrun':
      if (event.extraMinutes < 0) return `an overrun of ${event.extraMinutes} min is below zero`
      return has(shift.visits, event.visit) ? null : `visit "${event.visit}" is not known`
    case 'cancel-visit':
      return has(shift.visits, event.visit) ? null : `visit "${event.visit}" is not known`
  }
}

function comingProblem(shift: Shift, therapist: Therapist, now: number): string | null {
  const places = [therapist.start.unit, therapist.end.unit, therapist.break?.unit ?? therapist.start.unit]
  const unknown = places.find((unit) => !shift.units.some((item) => item.id === unit))
  if (unknown !== undefined) return `unit "${unknown}" is not known`
  const from = Math.max(now, therapist.start.time)
  return therapist.end.time <= from
    ? `${therapist.id} would have no time: her end is not after minute ${from}`
    : null
}

function ignoredBecause(day: Day, event: ShiftEvent): string | null {
  switch (event.type) {
    case 'new-visit':
      return null
    case 'therapist-leaves':
      return day.gone.includes(event.therapist) ? 'she has left already' : null
    case 'therapist-comes': {
      const here = day.shift.therapists.some((item) => item.id === event.therapist.id)
      return here && !day.gone.includes(event.therapist.id) ? 'she is here already' : null
    }
    case 'patient-away':
      return event.until <= event.from ? 'the absence has no length' : null
    case 'patient-back':
      return day.away.some((away) => away.patient === event.patient && away.until > event.time)
        ? null
        : 'the patient was not away'
    default: {
      const stop = day.schedule.flatMap((item) => item.stops).find((item) => item.visit === event.visit)
      if (stop === undefined) return null
      if (event.type === 'cancel-visit') return stop.start <= event.time ? 'the visit had begun' : null
      return stop.end <= event.time ? 'the visit was finished' : null
    }
  }
}

function changedDay(day: Day, event: ShiftEvent): Day {
  const { shift } = day
  const withVisits = (visits: Visit[]): Day => ({ ...day, shift: { ...shift, visits } })
  switch (event.type) {
    case 'new-visit':
      return withVisits([...shift.visits, event.visit])
    case 'cancel-visit': {
      const rest = withVisits(shift.visits.filter((visit) => visit.id !== event.visit))
      return { ...rest, pins: day.pins.filter((pin) => pin.visit !== event.visit) }
    }
    case 'overrun':
      return withVisits(
        shift.visits.map((visit) =>
          visit.id === event.visit ? { ...visit, duration: visit.duration + event.extraMinutes } : visit,
        ),
      )
    case 'patient-away':
      return { ...day, away: [...day.away, { patient: event.patient, from: event.from, until: event.until }] }
    case 'patient-back':
      return { ...day, away: day.away.flatMap((away) => endedBy(away, event.patient, event.time)) }
    case 'therapist-leaves':
      return { ...day, gone: [...day.gone, event.therapist] }
    case 'therapist-comes':
      return withTherapist(day, event.therapist, event.time)
  }
}

function endedBy(away: Day['away'][number], patient: string, time: number): Day['away'][number][] {
  if (away.patient !== patient || away.until <= time) return [away]
  return away.from >= time ? [] : [{ ...away, until: time }]
}

/** Somebody new, or somebody who had left: she keeps what she has done, and works until her new end. */
function withTherapist(day: Day, therapist: Therapist, now: number): Day {
  const { shift } = day
  const here = shift.therapists.some((item) => item.id === therapist.id)
  if (here)
    return {
      ...day,
      gone: day.gone.filter((id) => id !== therapist.id),
      shift: {
        ...shift,
        therapists: shift.therapists.map((item) =>
          item.id === therapist.id ? { ...item, end: therapist.end, skills: therapist.skills } : item,
        ),
      },
    }
  const start = { ...therapist.start, time: Math.max(now, therapist.start.time) }
  return { ...day, shift: { ...shift, therapists: [...shift.therapists, { ...therapist, start }] } }
}

function lengthened(stop: Stop, event: ShiftEvent): Stop {
  if (event.type !== 'overrun' || stop.visit !== event.visit) return stop
  return { ...stop, end: stop.end + event.extraMinutes }
}
