import type { z } from 'zod'
import type { PeopleList } from '../../../api/schemas.ts'
import { Role } from '../../../chart/fact.ts'
import type { StaffState } from '../../../chart/folds/staff.ts'

type Listed = z.infer<typeof PeopleList>['people'][number]

/** Somebody of the department: from the server's list, the record, or both. */
export type PersonRow = {
  readonly personId: string
  readonly name: string
  readonly role: Role
  readonly active: boolean
  readonly signedOffFor: readonly string[]
  readonly shifts: StaffState['shifts']
}

/**
 * The people by name. What the server lists of name, role and access outranks the record; sign-offs and shifts are
 * the record's. `listed` is null while the server has not answered: then the record alone.
 */
export function peopleRows(listed: readonly Listed[] | null, staff: readonly StaffState[]): PersonRow[] {
  const rows = new Map<string, PersonRow>()
  for (const { personId, name, role, active, signedOffFor, shifts } of staff) {
    rows.set(personId, { personId, name, role, active, signedOffFor, shifts })
  }
  for (const { personId, name, role, active } of listed ?? []) {
    const known = rows.get(personId) ?? { signedOffFor: [], shifts: [] }
    rows.set(personId, { ...known, personId, name, role: Role.parse(role), active })
  }
  return [...rows.values()].sort((a, b) => a.name.localeCompare(b.name))
}

/** The shift that somebody is on, else the next one; null when there is none ahead. */
export function presentOrNextShift(row: PersonRow, now: string): StaffState['shifts'][number] | null {
  return row.shifts.find(({ to }) => to > now) ?? null
}
