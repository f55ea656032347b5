import { compile } from './compile.ts'
import { type PricedPlan, pricedState } from './evaluate.ts'
import { constructed, type Effort, improve } from './improve.ts'
import type { Shift } from './model.ts'

const HOUR = 60

/** What one therapist takes over at the start of the shift. */
export type TherapistShare = {
  readonly therapist: string
  /** Patients whom she alone sees, and patients whom she shares with others. */
  readonly patients: readonly string[]
  readonly shared: readonly string[]
  readonly units: readonly string[]
  /** Bedside and walking minutes, and bedside minutes by hour of the shift. */
  readonly loadMinutes: number
  readonly bedsideByHour: readonly number[]
  /** Of her patients, those whom she knows from before. */
  readonly known: readonly string[]
}

export type Split = { readonly priced: PricedPlan; readonly shares: readonly TherapistShare[] }

export type SplitOptions = {
  readonly seed: number
  readonly effort: Effort
  /** Who knows a patient from an earlier shift; giving him to somebody else costs `weights.reassign` per visit. */
  readonly knownBy: Readonly<Record<string, string>>
}

/**
 * Splits the patients among the therapists of a shift: the plan of the whole shift, in which skills are rules and
 * hand-overs, walking (units close together), the largest load and patients already known have their price.
 */
export function splitShift(shift: Shift, options: SplitOptions): Split {
  const here = new Set(shift.therapists.map((therapist) => therapist.id))
  const wished = shift.visits.flatMap(({ id, patient }) => {
    const therapist = options.knownBy[patient]
    // a promise of the therapist only: with the last minute of the shift as its start, no time is held against the plan
    return therapist === undefined || !here.has(therapist)
      ? []
      : [{ visit: id, therapist, start: shift.horizon }]
  })
  const compiled = compile({ ...shift, previousPlan: wished })
  const state = constructed(compiled.flat)
  improve(state, { seed: options.seed, effort: options.effort })
  const priced = pricedState(compiled, state)
  return { priced, shares: sharesOf(shift, priced, options.knownBy) }
}

/** Reads from a plan who takes over whom, where and how much. */
export function sharesOf(
  shift: Shift,
  plan: Pick<PricedPlan, 'schedule'>,
  knownBy: Readonly<Record<string, string>>,
): TherapistShare[] {
  const patientOf = new Map(shift.visits.map((visit) => [visit.id, visit.patient]))
  const unitOf = new Map(shift.patients.map((patient) => [patient.id, patient.unit]))
  const seen = plan.schedule.map(
    ({ stops }) => new Set(stops.flatMap((stop) => patientOf.get(stop.visit ?? '') ?? [])),
  )
  return plan.schedule.map(({ therapist, stops, load }, k) => {
    const hers = [...(seen[k] as ReadonlySet<string>)]
    const alone = (patient: string) => seen.every((set, other) => other === k || !set.has(patient))
    return {
      therapist,
      patients: hers.filter(alone),
      shared: hers.filter((patient) => !alone(patient)),
      units: [...new Set(hers.map((patient) => unitOf.get(patient) ?? ''))].sort(),
      loadMinutes: load,
      bedsideByHour: Array.from({ length: Math.ceil(shift.horizon / HOUR) }, (_, i) =>
        bedsideIn(stops, i * HOUR, (i + 1) * HOUR),
      ),
      known: hers.filter((patient) => knownBy[patient] === therapist),
    }
  })
}

function bedsideIn(stops: PricedPlan['schedule'][number]['stops'], from: number, until: number): number {
  return stops
    .filter((stop) => stop.visit !== null)
    .reduce((sum, stop) => sum + Math.max(0, Math.min(until, stop.end) - Math.max(from, stop.start)), 0)
}
