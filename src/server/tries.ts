import type { Kysely } from 'kysely'
import type { PersonRow, Tables } from '../store/schema.ts'

/** Wrong PINs in a row after which only the password unlocks. Common practice, no source. */
export const PIN_TRIES = 5
/** Wrong passwords in a row before each further try must wait. Common practice, no source. */
const FREE_TRIES = 5
/** Longest wait between two tries [ms]. Common practice, no source. */
const LONGEST_WAIT_MS = 15 * 60_000
/** Wrong passwords in a row after which only a new password lets in (NIST SP 800-63B-4, 3.2.2; from memory). */
const MOST_TRIES = 100

type Who = { readonly facility: string; readonly personId: string }

/**
 * How long a person's next password must wait after so many wrong ones [ms]: nothing for the first few, then one
 * second, doubling each time. Null: no password is looked at any more.
 */
export function waitAfterTries(tries: number): number | null {
  if (tries >= MOST_TRIES) return null
  return tries < FREE_TRIES ? 0 : Math.min(LONGEST_WAIT_MS, 1000 * 2 ** (tries - FREE_TRIES))
}

/**
 * How long from now until the next password is looked at [ms]; 0: now; null: never. A clock that was set back since the
 * last try makes nobody wait longer than the try itself did.
 */
export function waitNow(person: PersonRow, nowMs: number): number | null {
  const wait = waitAfterTries(person.password_tries)
  if (wait === null) return null
  const left = Date.parse(person.password_tried_at ?? '1970-01-01T00:00:00.000Z') + wait - nowMs
  return Math.min(wait, Math.max(0, left))
}

/** Counts a password before it is looked at, so that tries sent side by side are all counted. */
export async function countPasswordTry(db: Kysely<Tables>, who: Who, now: string): Promise<void> {
  await mine(db, who)
    .set((row) => ({ password_tries: row('password_tries', '+', 1), password_tried_at: now }))
    .execute()
}

/** Counts a PIN before it is looked at; false when there were too many already. */
export async function countPinTry(db: Kysely<Tables>, who: Who): Promise<boolean> {
  const { numUpdatedRows } = await mine(db, who)
    .set((row) => ({ pin_tries: row('pin_tries', '+', 1) }))
    .where('pin_tries', '<', PIN_TRIES)
    .executeTakeFirst()
  return Number(numUpdatedRows) === 1
}

export async function forgetPinTries(db: Kysely<Tables>, who: Who): Promise<void> {
  await mine(db, who).set({ pin_tries: 0 }).execute()
}

/** A right password: both counts begin anew. */
export async function forgetTries(db: Kysely<Tables>, who: Who): Promise<void> {
  await mine(db, who).set({ pin_tries: 0, password_tries: 0, password_tried_at: null }).execute()
}

function mine(db: Kysely<Tables>, { facility, personId }: Who) {
  return db.updateTable('person').where('facility', '=', facility).where('person_id', '=', personId)
}
