import { type Day, Places, untouchedCount } from '../day.ts'
import type { Therapist } from '../model.ts'
import { type Stop, walkMinutes } from '../standing.ts'

/** Per therapist: what stays as it is (begun, walked to, frozen), and the stops that are open again, in order. */
export type Settled = {
  readonly done: readonly (readonly Stop[])[]
  readonly open: readonly (readonly Stop[])[]
}

/**
 * Splits a plan in force into what stays and what is open. `begun` is what each therapist has finished or is doing, at
 * its real times; of the rest, what she is walking to or begins within `freezeMinutes` stays too, as far as the facts
 * allow: it is pushed where what runs before it takes longer, and opened where it can no longer be given so.
 */
export function settle(
  day: Day,
  begun: readonly (readonly Stop[])[],
  now: number,
  freezeMinutes: number,
): Settled {
  const places = new Places(day.shift)
  const taken = new Set(begun.flat().map((stop) => stop.visit))
  const urgent = waitingUrgent(day, taken)
  const rested = begun.map((stops) => stops.some((stop) => stop.visit === null))
  const split = day.shift.therapists.map((therapist, k) => {
    const planned = day.schedule.find((item) => item.therapist === therapist.id)?.stops ?? []
    const rest = planned
      .filter((stop) => (stop.visit === null ? rested[k] !== true : !taken.has(stop.visit)))
      .filter((stop) => stop.visit === null || places.knows(stop.visit))
      .map((stop) => withKnownLength(places, stop))
    const frozen = day.gone.includes(therapist.id)
      ? 0
      : untouchedCount(day, places, k, begun[k] ?? [], rest, now, freezeMinutes)
    return keepWhatCan(day, places, k, begun[k] ?? [], rest, frozen, now, urgent)
  })
  return { done: split.map((item) => item.done), open: split.map((item) => item.open) }
}

function withKnownLength(places: Places, stop: Stop): Stop {
  return stop.visit === null ? stop : { ...stop, end: stop.start + places.visit(stop.visit).duration }
}

function keepWhatCan(
  day: Day,
  places: Places,
  k: number,
  begun: readonly Stop[],
  rest: readonly Stop[],
  frozen: number,
  now: number,
  urgent: ReadonlySet<string>,
) {
  const therapist = day.shift.therapists[k] as Therapist
  const done = [...begun]
  const last = done[done.length - 1]
  let spot = last === undefined ? places.unit(therapist.start.unit) : places.of(last, therapist)
  // she is taken to have left in time for the stop she is walking to
  let free = last?.end ?? therapist.start.time
  let kept = 0
  for (; kept < frozen; kept++) {
    const stop = rest[kept] as Stop
    const to = places.of(stop, therapist)
    const start = Math.max(now, stop.start, free + walkMinutes(day.shift, spot, to))
    const pushed = { ...stop, start, end: start + (stop.end - stop.start) }
    if (start > stop.start && !canStart(therapist, places, pushed)) break
    if (stop.visit !== null && opened(day, places, therapist, pushed, urgent)) break
    done.push(pushed)
    spot = to
    free = pushed.end
  }
  return { done, open: rest.slice(kept) }
}

function canStart(therapist: Therapist, places: Places, stop: Stop): boolean {
  const latest =
    stop.visit === null ? (therapist.break?.latest ?? stop.start) : places.visit(stop.visit).latest
  return stop.start <= latest && stop.end <= therapist.end.time
}

function opened(
  day: Day,
  places: Places,
  therapist: Therapist,
  stop: Stop,
  urgent: ReadonlySet<string>,
): boolean {
  const visit = places.visit(stop.visit as string)
  return (
    (visit.priority > 1 && urgent.has(visit.patient)) ||
    overlapsAway(day, places, stop) ||
    wantedElsewhere(day, therapist, stop)
  )
}

/**
 * Patients who wait for a visit of the first priority that nobody has been promised yet. It opens a frozen dose of
 * theirs: giving that first would close the minimum gap to the urgent one, and whoever is walking there can give the
 * urgent one instead.
 */
function waitingUrgent(day: Day, taken: ReadonlySet<string | null>): ReadonlySet<string> {
  const promised = new Set(day.schedule.flatMap((item) => item.stops.map((stop) => stop.visit)))
  const waiting = day.shift.visits.filter(
    ({ id, priority }) => priority === 1 && !promised.has(id) && !taken.has(id),
  )
  return new Set(waiting.map((visit) => visit.patient))
}

function overlapsAway(day: Day, places: Places, stop: Stop): boolean {
  const patient = places.patientOf(stop.visit as string).id
  return day.away.some((away) => away.patient === patient && stop.start < away.until && stop.end > away.from)
}

/** A person has pinned it to somebody else or to another minute: her word goes before the freeze. */
function wantedElsewhere(day: Day, therapist: Therapist, stop: Stop): boolean {
  const pin = day.pins.find((item) => item.visit === stop.visit)
  if (pin === undefined) return false
  return pin.therapist !== therapist.id || (pin.start !== undefined && pin.start !== stop.start)
}
