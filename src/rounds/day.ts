import type { TherapistSchedule } from './evaluate.ts'
import type { Patient, PromisedVisit, Shift, Therapist, Visit } from './model.ts'
import {
  type Away,
  openingStanding,
  type Pin,
  rankOf,
  type Spot,
  type Standing,
  type Stop,
  type TherapistStanding,
  walkMinutes,
} from './standing.ts'

/** A shift under way: what is known of it now, and the plan in force with its times. */
export type Day = {
  /** Visits, durations and people as known now. */
  readonly shift: Shift
  readonly schedule: readonly TherapistSchedule[]
  readonly away: readonly Away[]
  readonly pins: readonly Pin[]
  /** Therapists who have left. */
  readonly gone: readonly string[]
}

/** A day that begins with this plan in force. */
export function beginDay(
  shift: Shift,
  schedule: readonly TherapistSchedule[],
  pins: readonly Pin[] = [],
): Day {
  return { shift, schedule, away: [], pins, gone: [] }
}

/** What every not yet finished visit is promised by the plan in force. */
export function promisesOf(schedule: readonly TherapistSchedule[]): PromisedVisit[] {
  return schedule.flatMap(({ therapist, stops }) =>
    stops.flatMap((stop) =>
      stop.visit === null ? [] : [{ visit: stop.visit, therapist, start: stop.start }],
    ),
  )
}

/** Looks up places of stops. */
export class Places {
  private readonly units: ReadonlyMap<string, number>
  private readonly patients: ReadonlyMap<string, Patient>
  private readonly visits: ReadonlyMap<string, Visit>

  constructor(shift: Shift) {
    this.units = new Map(shift.units.map((unit, index) => [unit.id, index]))
    this.patients = new Map(shift.patients.map((patient) => [patient.id, patient]))
    this.visits = new Map(shift.visits.map((visit) => [visit.id, visit]))
  }

  knows(id: string): boolean {
    return this.visits.has(id)
  }

  visit(id: string): Visit {
    return this.visits.get(id) as Visit
  }

  patientOf(visit: string): Patient {
    return this.patients.get(this.visit(visit).patient) as Patient
  }

  unit(id: string): Spot {
    return { unit: this.units.get(id) as number, patient: null }
  }

  /** Where a stop of a therapist takes place. */
  of(stop: Stop, therapist: Therapist): Spot {
    if (stop.visit === null) return this.unit(therapist.break?.unit ?? therapist.start.unit)
    const patient = this.patientOf(stop.visit)
    return { unit: this.unit(patient.unit).unit, patient: patient.id }
  }
}

/**
 * How many of a therapist's next stops are not to be touched at `now`: the one she is walking to (she leaves as late as
 * its start allows) and those that begin within the next `freezeMinutes`.
 */
export function untouchedCount(
  day: Day,
  places: Places,
  k: number,
  begun: readonly Stop[],
  rest: readonly Stop[],
  now: number,
  freezeMinutes: number,
): number {
  const therapist = day.shift.therapists[k] as Therapist
  const last = begun[begun.length - 1]
  let spot = last === undefined ? places.unit(therapist.start.unit) : places.of(last, therapist)
  let count = 0
  for (const stop of rest) {
    const to = places.of(stop, therapist)
    const leaves = stop.start - walkMinutes(day.shift, spot, to)
    if (!(leaves <= now || stop.start < now + freezeMinutes)) break
    spot = to
    count++
  }
  return count
}

/** The stops of a plan that have begun by `now` if it is followed, per therapist of the shift. */
export function begunBy(day: Day, now: number): Stop[][] {
  return day.shift.therapists.map(({ id }) => {
    const stops = day.schedule.find((item) => item.therapist === id)?.stops ?? []
    const open = stops.findIndex((stop) => stop.start > now)
    return stops.slice(0, open < 0 ? stops.length : open)
  })
}

/** The standing that follows from a list of fixed stops per therapist. */
export function standingFrom(day: Day, now: number, done: readonly (readonly Stop[])[]): Standing {
  const places = new Places(day.shift)
  const opening = openingStanding(day.shift)
  return {
    now,
    pins: day.pins,
    away: day.away,
    therapists: day.shift.therapists.map((therapist, k) => {
      const stops = done[k] ?? []
      const gone = day.gone.includes(therapist.id)
      const first = opening.therapists[k] as TherapistStanding
      const standing = stops.reduce<TherapistStanding>(
        (so, stop) => afterStop(day.shift, places, therapist, so, stop),
        first,
      )
      return {
        ...standing,
        done: stops,
        freeAt: Math.max(now, standing.freeAt),
        present: !gone,
        breakPending: standing.breakPending && !gone,
      }
    }),
  }
}

function afterStop(
  shift: Shift,
  places: Places,
  therapist: Therapist,
  before: TherapistStanding,
  stop: Stop,
): TherapistStanding {
  const to = places.of(stop, therapist)
  const walked = walkMinutes(shift, { unit: places.unit(before.unit).unit, patient: before.patient }, to)
  const bedside = stop.visit === null ? 0 : stop.end - stop.start
  return {
    ...before,
    unit: (shift.units[to.unit] as Shift['units'][number]).id,
    patient: to.patient,
    rank: stop.visit === null ? 0 : rankOf(places.patientOf(stop.visit)),
    freeAt: stop.end,
    load: before.load + walked + bedside,
    breakPending: before.breakPending && stop.visit !== null,
  }
}
