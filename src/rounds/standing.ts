import { ISOLATION_RANK, type Patient, type Shift, type Therapist } from './model.ts'

/** One thing in a therapist's day: a visit, or (null) her break. */
export type Stop = { readonly visit: string | null; readonly start: number; readonly end: number }

/** Where a therapist is and what she carries with her, from the moment she can take up something new. */
export type TherapistStanding = {
  /** What is done, running, walked to or frozen, in order: it stays hers, at these times. */
  readonly done: readonly Stop[]
  readonly unit: string
  /** The patient she is with, or null at the base or after a break (walking is then counted between units only). */
  readonly patient: string | null
  /** Isolation rank of the last bedside, 0 at the base or after a break. */
  readonly rank: number
  /** First minute at which she can leave for something new. */
  readonly freeAt: number
  /** Bedside and walking minutes so far. */
  readonly load: number
  readonly breakPending: boolean
  /** False once she has left: nothing more is given to her. */
  readonly present: boolean
}

/** A visit that somebody has asked to leave where it is: with this therapist, and at this start if one is given. */
export type Pin = { readonly visit: string; readonly therapist: string; readonly start?: number }

/** A time in which no visit of the patient may run. */
export type Away = { readonly patient: string; readonly from: number; readonly until: number }

/** How things stand at a minute of the shift: the starting point of every plan for the rest of it. */
export type Standing = {
  readonly now: number
  /** In the order of the shift's therapists. */
  readonly therapists: readonly TherapistStanding[]
  readonly pins: readonly Pin[]
  readonly away: readonly Away[]
}

/** The standing before the shift: everybody at her starting place, nothing done. */
export function openingStanding(shift: Shift): Standing {
  return {
    now: Math.min(0, ...shift.therapists.map((therapist) => therapist.start.time)),
    therapists: shift.therapists.map(openingTherapist),
    pins: [],
    away: [],
  }
}

function openingTherapist(therapist: Therapist): TherapistStanding {
  return {
    done: [],
    unit: therapist.start.unit,
    patient: null,
    rank: 0,
    freeAt: therapist.start.time,
    load: 0,
    breakPending: therapist.break !== null,
    present: true,
  }
}

/** A place as the walking rule sees it: a unit, and the patient whose room it is (null: base or break). */
export type Spot = { readonly unit: number; readonly patient: string | null }

/**
 * Minutes on the way between two places: nothing within one room; `roomChange` between two rooms of one unit; to or
 * from a base or break only the way between units.
 */
export function walkMinutes(shift: Shift, from: Spot, to: Spot): number {
  if (from.unit !== to.unit) return (shift.travel[from.unit] as number[])[to.unit] as number
  if (from.patient === null || to.patient === null || from.patient === to.patient) return 0
  return shift.roomChange
}

/** Rank of a patient's isolation in the order in which rooms should be entered. */
export const rankOf = (patient: Patient): number => ISOLATION_RANK[patient.isolation]

/** Every visit that is fixed at the standing, with its therapist and start. */
export function fixedVisits(
  shift: Shift,
  standing: Standing,
): { visit: string; therapist: string; start: number }[] {
  return standing.therapists.flatMap((therapist, k) =>
    therapist.done.flatMap((stop) =>
      stop.visit === null
        ? []
        : [{ visit: stop.visit, therapist: (shift.therapists[k] as Therapist).id, start: stop.start }],
    ),
  )
}
