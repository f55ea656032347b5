import { type Day, fixedCount, Places } from './day.ts'
import type { Shift, ShiftEvent, Therapist, Visit } from './model.ts'
import { type Stop, walkMinutes } from './standing.ts'

/** Thrown for an event that names somebody or something the shift does not know; the plan in force is kept. */
export class EventRefused extends Error {
  override readonly name = 'EventRefused'
  readonly event: ShiftEvent
  constructor(event: ShiftEvent, message: string) {
    super(`${message}; the plan in force is kept`)
    this.event = event
  }
}

/** The day once an event is known, with what stays fixed per therapist and the stops that are open again, in order. */
export type EventOutcome = {
  readonly day: Day
  readonly done: readonly (readonly Stop[])[]
  readonly open: readonly (readonly Stop[])[]
  /** Why the event changed nothing, if so (for example: cancelled after it had begun). */
  readonly ignored: string | null
}

/**
 * Takes an event into the day: what has begun stays, what is walked to or frozen stays unless the event forbids it.
 * @throws EventRefused
 */
export function takeEvent(day: Day, event: ShiftEvent, freezeMinutes: number): EventOutcome {
  requireKnown(day, event)
  const ignored = ignoredBecause(day, event)
  const next = ignored === null ? changedDay(day, event) : day
  const places = new Places(ignored === null && event.type === 'cancel-visit' ? day.shift : next.shift)
  const split = day.schedule.map(({ stops }, k) => {
    const { begun, fixed } = fixedCount(day, places, k, event.time, freezeMinutes)
    const running = stops.slice(0, begun).map((stop) => lengthened(stop, ignored === null ? event : null))
    return {
      running,
      kept: stops.slice(begun, fixed).map((stop) => relengthened(stop, next.shift)),
      open: stops.slice(fixed),
    }
  })
  const settled = split.map((item, k) => keepWhatCan(next, places, k, item, event, ignored === null))
  return {
    day: next,
    done: settled.map((item) => item.done),
    open: settled.map((item) => item.open),
    ignored,
  }
}

function requireKnown(day: Day, event: ShiftEvent): void {
  const { shift } = day
  const patient =
    event.type === 'new-visit' ? event.visit.patient : event.type === 'patient-away' ? event.patient : null
  if (patient !== null && !shift.patients.some((item) => item.id === patient))
    throw new EventRefused(event, `patient "${patient}" is not known`)
  if (event.type === 'new-visit' && shift.visits.some((visit) => visit.id === event.visit.id))
    throw new EventRefused(event, `visit "${event.visit.id}" exists already`)
  if (event.type === 'therapist-leaves' && !shift.therapists.some((item) => item.id === event.therapist))
    throw new EventRefused(event, `therapist "${event.therapist}" is not known`)
  if (
    (event.type === 'cancel-visit' || event.type === 'overrun') &&
    !shift.visits.some((v) => v.id === event.visit)
  )
    throw new EventRefused(event, `visit "${event.visit}" is not known`)
  if (event.type === 'overrun' && event.extraMinutes < 0)
    throw new EventRefused(event, `an overrun of ${event.extraMinutes} min is below zero`)
}

function ignoredBecause(day: Day, event: ShiftEvent): string | null {
  if (event.type === 'therapist-leaves')
    return day.gone.includes(event.therapist) ? 'she has left already' : null
  if (event.type === 'patient-away') return event.until <= event.from ? 'the absence has no length' : null
  if (event.type === 'new-visit') return null
  const stop = day.schedule.flatMap((item) => item.stops).find((item) => item.visit === event.visit)
  if (stop === undefined) return null
  if (event.type === 'cancel-visit') return stop.start <= event.time ? 'the visit had begun' : null
  return stop.end <= event.time ? 'the visit was finished' : null
}

function changedDay(day: Day, event: ShiftEvent): Day {
  const { shift } = day
  const withVisits = (visits: Visit[]): Day => ({ ...day, shift: { ...shift, visits } })
  switch (event.type) {
    case 'new-visit':
      return withVisits([...shift.visits, event.visit])
    case 'cancel-visit':
      return withVisits(shift.visits.filter((visit) => visit.id !== event.visit))
    case 'overrun':
      return withVisits(
        shift.visits.map((visit) =>
          visit.id === event.visit ? { ...visit, duration: visit.duration + event.extraMinutes } : visit,
        ),
      )
    case 'patient-away':
      return { ...day, away: [...day.away, { patient: event.patient, from: event.from, until: event.until }] }
    case 'therapist-leaves':
      return { ...day, gone: [...day.gone, event.therapist] }
  }
}

function lengthened(stop: Stop, event: ShiftEvent | null): Stop {
  if (event?.type !== 'overrun' || stop.visit !== event.visit || stop.end <= event.time) return stop
  return { ...stop, end: stop.end + event.extraMinutes }
}

function relengthened(stop: Stop, shift: Shift): Stop {
  const visit = shift.visits.find((item) => item.id === stop.visit)
  return visit === undefined ? stop : { ...stop, end: stop.start + visit.duration }
}

type Split = {
  readonly running: readonly Stop[]
  readonly kept: readonly Stop[]
  readonly open: readonly Stop[]
}

/** Keeps walked-to and frozen stops as far as the event allows, pushed where what runs before them has grown longer. */
function keepWhatCan(day: Day, places: Places, k: number, split: Split, event: ShiftEvent, taken: boolean) {
  const therapist = day.shift.therapists[k] as Therapist
  const gone = day.gone.includes(therapist.id)
  const done = [...split.running]
  const candidates = split.kept.filter((stop) => !(taken && cancels(event, stop)))
  const last = done[done.length - 1]
  let spot = last === undefined ? places.unit(therapist.start.unit) : places.of(last, therapist)
  let free = Math.max(event.time, last?.end ?? therapist.start.time)
  let kept = 0
  for (; kept < candidates.length && !gone; kept++) {
    const stop = candidates[kept] as Stop
    const to = places.of(stop, therapist)
    const start = Math.max(stop.start, free + walkMinutes(day.shift, spot, to))
    const pushed = { ...stop, start, end: start + (stop.end - stop.start) }
    if (start > stop.start && !canStart(day, therapist, places, pushed)) break
    if (stop.visit !== null && overlapsAway(day, places, pushed)) break
    done.push(pushed)
    spot = to
    free = pushed.end
  }
  const open = [...candidates.slice(kept), ...split.open].filter((stop) => !(taken && cancels(event, stop)))
  return { done, open }
}

const cancels = (event: ShiftEvent, stop: Stop): boolean =>
  event.type === 'cancel-visit' && stop.visit === event.visit

function canStart(day: Day, therapist: Therapist, places: Places, stop: Stop): boolean {
  const latest =
    stop.visit === null ? (therapist.break?.latest ?? stop.start) : places.visit(stop.visit).latest
  return stop.start <= latest && stop.end <= therapist.end.time && !day.gone.includes(therapist.id)
}

function overlapsAway(day: Day, places: Places, stop: Stop): boolean {
  const patient = places.patientOf(stop.visit as string).id
  return day.away.some((away) => away.patient === patient && stop.start < away.until && stop.end > away.from)
}
