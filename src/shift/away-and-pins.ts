import type { Chart } from '../chart/folds/chart.ts'
import type { PinState } from '../chart/folds/plans.ts'
import type { Away, Pin } from '../rounds/index.ts'
import type { CrewMember } from './crew.ts'
import { doseName } from './promised.ts'
import { minuteIn, type ShiftSpan } from './shift-span.ts'
import type { Stay } from './stay.ts'

export type { Away } from '../rounds/index.ts'

/** Something that the record does not say and that the plan takes for granted, said aloud. */
export type Assumption =
  | { readonly kind: 'break not recorded'; readonly personId: string }
  | { readonly kind: 'isolation code not known'; readonly patientId: string; readonly code: string }
  | {
      readonly kind: 'pin cannot hold'
      readonly visit: string
      readonly personId: string
      readonly why: PinTrouble
    }

export type PinTrouble = 'not on this shift' | 'not signed off' | 'time outside the window'

/**
 * Patients off the unit: nothing of theirs is planned from then until they are expected back, or, when nobody said,
 * for the rest of the shift.
 */
export function awayTimes(chart: Chart, stays: readonly Stay[], span: ShiftSpan): Away[] {
  const groups = new Map(stays.map(({ group, patientId }) => [group, patientId]))
  return [...groups].flatMap(([patient, patientId]) => {
    const { away } = chart.patient(patientId)
    if (!away) return []
    const until = away.expectedBackAt ?? span.to
    return [
      { patient, from: minuteIn(span, away.since, Math.floor), until: minuteIn(span, until, Math.ceil) },
    ]
  })
}

/** Of these absences, those that had been told by an instant. */
export function awayKnownAt(away: readonly Away[], chart: Chart, stays: readonly Stay[], at: string): Away[] {
  const patientOf = new Map(stays.map(({ group, patientId }) => [group, patientId]))
  return away.filter(({ patient }) => {
    const since = chart.patient(patientOf.get(patient) ?? '').away?.since
    return since !== undefined && since <= at
  })
}

/** What people pinned, as far as it can hold; what cannot is said. */
export function pinsFor(
  pinned: readonly PinState[],
  stays: readonly Stay[],
  crew: readonly CrewMember[],
  span: ShiftSpan,
  minute: number,
  besides: readonly Pin[],
): {
  readonly pins: readonly Pin[]
  readonly assumed: readonly Assumption[]
  /** When the pin of a visit was set; the earliest of all times for what nobody set by hand. */
  readonly since: (visit: string) => string
} {
  const pins: Pin[] = [...besides]
  const setAt = new Map<string, string>()
  const assumed: Assumption[] = []
  for (const pin of pinned) {
    const stay = stays.find(({ doses }) =>
      doses.some((dose) => pin.doses.some((each) => doseName(each) === doseName(dose))),
    )
    if (!stay) continue
    const { visit } = stay
    setAt.set(visit, pin.at)
    const trouble = (why: PinTrouble) =>
      assumed.push({ kind: 'pin cannot hold', visit, personId: pin.personId, why })
    const person = crew.find(({ personId }) => personId === pin.personId)
    if (!person || person.gone) trouble('not on this shift')
    else if (!stay.skillsNeeded.every((skill) => person.skills.includes(skill))) trouble('not signed off')
    else {
      const start = pin.startAt === null ? null : minuteIn(span, pin.startAt)
      const fits =
        start !== null &&
        start >= minute &&
        start >= minuteIn(span, stay.window.earliest, Math.ceil) &&
        start <= minuteIn(span, stay.window.latest, Math.floor)
      if (start !== null && !fits) trouble('time outside the window')
      pins.push({ visit, therapist: pin.personId, ...(start !== null && fits && { start }) })
    }
  }
  return { pins, assumed, since: (visit) => setAt.get(visit) ?? '' }
}
