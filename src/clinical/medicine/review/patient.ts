import { requireWithin } from '../../worked.ts'
import type { Formulary } from '../formulary/formulary.ts'
import type { Medicine } from '../formulary/medicine-schema.ts'
import type { OrderToReview } from './order.ts'

export type Coded = { readonly code: string; readonly text: string }

/** A medicine that is taken or ordered besides the one in question, by any route. */
export type Taken = {
  /** The formulary's id where it is one of its medicines. */
  readonly medicineId?: string | null
  readonly name: string
  /** True when it is taken as needed only. */
  readonly asNeeded?: boolean
}

/** Whom the medicine is for. Null means that the chart does not say; an empty list, that there is none. */
export type PatientFacts = {
  readonly ageDays: number | null
  readonly weightKg: number | null
  readonly conditions: readonly Coded[] | null
  readonly allergies: readonly Coded[] | null
  readonly isolation?: readonly string[] | null
  readonly taking: readonly Taken[] | null
  /** The patient's other orders in force, in full, where they are known: their doses count toward the same totals. */
  readonly orders?: readonly OrderToReview[]
}

/**
 * Refuses an age or weight that no person has.
 * @throws OutsideValidity naming the field
 */
export function requirePlausible({ ageDays, weightKg }: Pick<PatientFacts, 'ageDays' | 'weightKg'>): void {
  if (ageDays !== null) requireWithin('age', ageDays, { low: 0, high: 45_000, unit: 'd' })
  if (weightKg !== null) requireWithin('weight', weightKg, { low: 0.2, high: 700, unit: 'kg' })
}

/** The formulary's condition codes that a patient's conditions stand for: by the same code, or by an ICD-10 beginning. */
export function conditionCodes(formulary: Formulary, conditions: readonly Coded[]): ReadonlySet<string> {
  const codes = conditions.map(({ code }) => code.trim().toUpperCase())
  const known = formulary.document.conditions.filter(
    (entry) =>
      codes.includes(entry.code.toUpperCase()) ||
      entry.icd10.some((start) => codes.some((code) => code.startsWith(start))),
  )
  return new Set(known.map(({ code }) => code))
}

/** The formulary's indication codes whose words stand in an indication. */
export function indicationCodes(formulary: Formulary, indication: string | null): ReadonlySet<string> {
  const plain = (indication ?? '').toLowerCase()
  const spoken = formulary.document.indications.filter(({ words }) =>
    words.some((word) => plain.includes(word)),
  )
  return new Set(spoken.map(({ code }) => code))
}

/** The formulary's medicine that is meant, by id or by name; null when it is none of them. */
export function takenMedicine(formulary: Formulary, taken: Taken): Medicine | null {
  return (taken.medicineId ? formulary.medicine(taken.medicineId) : null) ?? formulary.named(taken.name)
}

/** Classes and groups that a medicine belongs to, by the formulary and by its name. */
export function kindsOf(formulary: Formulary, taken: Taken): readonly string[] {
  const medicine = takenMedicine(formulary, taken)
  const plain = taken.name.toLowerCase()
  const groups = formulary.document.groups.filter(({ members }) =>
    members.some((member) => plain.includes(member)),
  )
  return [...(medicine?.classes ?? []), ...groups.map(({ name }) => name)]
}

/** A medicine and, for a combination, its components. */
export function partsOf(formulary: Formulary, medicine: Medicine): readonly Medicine[] {
  const parts = (medicine.components ?? []).flatMap(({ medicineId }) => formulary.medicine(medicineId) ?? [])
  return parts.length > 0 ? parts : [medicine]
}
