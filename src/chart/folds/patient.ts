import type {
  Allergy,
  Condition,
  OxygenSupport,
  PatientPatch,
  Place,
  SaturationTarget,
} from '../facts/census.ts'
import type { AnyFact } from '../registry.ts'
import { standing } from './standing.ts'

/** A patient as the census has told of them so far. Null where nobody has said. */
export type PatientState = {
  readonly patientId: string
  readonly mrn: string | null
  readonly identifiers: readonly { readonly type: string; readonly value: string }[]
  readonly family: string | null
  readonly given: string | null
  readonly middle: string | null
  readonly dob: string | null
  readonly sex: 'female' | 'male' | 'other' | 'unknown' | null
  readonly weightKg: number | null
  readonly heightCm: number | null
  readonly allergies: readonly Allergy[] | null
  readonly conditions: readonly Condition[]
  readonly isolation: readonly string[]
  readonly oxygen: OxygenSupport | null
  readonly target: SaturationTarget | null
  readonly airway: 'natural' | 'tracheostomy' | 'endotracheal tube' | null
  readonly place: Place | null
  readonly visitNumber: string | null
  readonly attending: string | null
  readonly admittedAt: string | null
  readonly dischargedAt: string | null
  readonly away: {
    readonly since: string
    readonly reason: string
    readonly expectedBackAt: string | null
  } | null
}

const nobody = (patientId: string): PatientState => ({
  patientId,
  mrn: null,
  identifiers: [],
  family: null,
  given: null,
  middle: null,
  dob: null,
  sex: null,
  weightKg: null,
  heightCm: null,
  allergies: null,
  conditions: [],
  isolation: [],
  oxygen: null,
  target: null,
  airway: null,
  place: null,
  visitNumber: null,
  attending: null,
  admittedAt: null,
  dischargedAt: null,
  away: null,
})

/** Facts about one patient to what is known of them. The same facts in any order give the same answer. */
export function foldPatient(patientId: string, facts: Iterable<AnyFact>): PatientState {
  let state = nobody(patientId)
  for (const fact of standing(facts)) {
    switch (fact.kind) {
      case 'census-updated':
        state = patched(state, fact.body.patch)
        if (fact.body.event === 'admitted')
          state = { ...state, dischargedAt: fact.body.patch.dischargedAt ?? null }
        if (fact.body.event === 'discharged') {
          state = { ...state, dischargedAt: fact.body.patch.dischargedAt ?? fact.happenedAt, away: null }
        }
        break
      case 'patient-away':
        state = {
          ...state,
          away: {
            since: fact.happenedAt,
            reason: fact.body.reason,
            expectedBackAt: fact.body.expectedBackAt ?? null,
          },
        }
        break
      case 'patient-back':
        state = { ...state, away: null }
        break
    }
  }
  return state
}

/** Absent fields keep what was known; null takes it away (a list taken away is an empty list). */
function patched(state: PatientState, patch: PatientPatch): PatientState {
  const { conditions, isolation, identifiers, ...plain } = patch
  const said = Object.fromEntries(Object.entries(plain).filter(([, value]) => value !== undefined))
  return {
    ...state,
    ...said,
    ...(conditions !== undefined && { conditions: conditions ?? [] }),
    ...(isolation !== undefined && { isolation: isolation ?? [] }),
    ...(identifiers !== undefined && { identifiers: mergedIdentifiers(state.identifiers, identifiers) }),
  }
}

function mergedIdentifiers(
  known: PatientState['identifiers'],
  said: PatientState['identifiers'],
): PatientState['identifiers'] {
  const all = new Map(
    [...known, ...said].map((identifier) => [`${identifier.type} ${identifier.value}`, identifier]),
  )
  return [...all.values()]
}

/** The name as it is read aloud and compared: given, middle, family. */
export function fullName(patient: Pick<PatientState, 'given' | 'middle' | 'family'>): string {
  return [patient.given, patient.middle, patient.family].filter(Boolean).join(' ')
}

/** Age at an instant in completed days and in decimal years (365.25 days); null while no birth date is known. */
export function ageAt(
  dob: string | null,
  at: string,
): { readonly days: number; readonly years: number } | null {
  if (dob === null) return null
  const days = Math.floor((Date.parse(at) - Date.parse(`${dob}T00:00:00Z`)) / 86_400_000)
  return days < 0 ? null : { days, years: days / 365.25 }
}

/** Age as the ward says it: days and weeks for the youngest, then months, then years. */
export function ageInWords({ days, years }: { readonly days: number; readonly years: number }): string {
  if (days < 28) return `${days} days`
  if (days < 112) return `${Math.floor(days / 7)} weeks`
  return years < 2 ? `${Math.floor(days / 30.44)} months` : `${Math.floor(years)} years`
}
