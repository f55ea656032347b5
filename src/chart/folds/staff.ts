import type { AnyFact, BodyOf } from '../registry.ts'
import { standing } from './standing.ts'

export type StaffState = BodyOf<'staff-recorded'> & {
  readonly personId: string
  /** Shifts given to this person, in order of their beginning. */
  readonly shifts: readonly BodyOf<'shift-assigned'>[]
}

/** A person of the department and their shifts; null while nobody has recorded them. */
export function foldStaff(personId: string, facts: Iterable<AnyFact>): StaffState | null {
  const all = standing(facts)
  const recorded = all.filter((fact) => fact.kind === 'staff-recorded').at(-1)
  if (!recorded) return null
  const shifts = all
    .filter((fact) => fact.kind === 'shift-assigned')
    .map((fact) => fact.body)
    .sort((a, b) => (a.from < b.from ? -1 : 1))
  return { ...recorded.body, personId, shifts }
}

/** The shift that a person is on at an instant, if any. */
export function shiftAt(staff: StaffState, at: string): BodyOf<'shift-assigned'> | null {
  return staff.shifts.filter((shift) => shift.from <= at && at < shift.to).at(-1) ?? null
}
