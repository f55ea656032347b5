import { z } from 'zod'
import { Me } from '../../api/schemas.ts'
import { uuidv7 } from '../../chart/ids.ts'

/** Small things that belong to this tablet, not to a person. Kept in the browser's local storage. */

const LastPerson = z.strictObject({
  me: Me,
  username: z.string(),
  /** The screen was locked here; a reload must not open it. */
  lockedHere: z.boolean(),
  lastActiveAtMs: z.number(),
  /** Wrong PINs or passwords tried without a network, and when the last was. */
  wrongTries: z.int(),
  lastWrongAtMs: z.number(),
  /** When the session began that was left for the hospital's sign-in ('' without one); null when nobody left. */
  leftFrom: z.string().nullable(),
})
export type LastPerson = z.infer<typeof LastPerson>

const LeftBehind = z.strictObject({
  facility: z.string(),
  personId: z.string(),
  name: z.string(),
  entries: z.int(),
})
/** Entries that somebody signed out without sending. */
export type LeftBehind = z.infer<typeof LeftBehind>

const KEYS = {
  device: 'mistwright device',
  last: 'mistwright last person',
  left: 'mistwright left behind',
  owed: 'mistwright owes sign-out',
}

export const newId = (): string =>
  uuidv7({ nowMs: () => Date.now(), randomBytes: (length) => crypto.getRandomValues(new Uint8Array(length)) })

/** A name for this tablet, made once: facts say on which device they were written. */
export function deviceId(): string {
  const known = read(KEYS.device, z.string().min(1))
  if (known !== null) return known
  const made = `tablet-${newId().slice(-12)}`
  write(KEYS.device, made)
  return made
}

export function lastPerson(): LastPerson | null {
  return read(KEYS.last, LastPerson)
}

export function rememberPerson(person: LastPerson): void {
  write(KEYS.last, person)
}

/** Changes part of what is remembered of the last person, if there is one. */
export function notePerson(part: Partial<LastPerson>): void {
  const known = lastPerson()
  if (known) rememberPerson({ ...known, ...part })
}

export function forgetPerson(): void {
  remove(KEYS.last)
}

export function leftBehind(): LeftBehind[] {
  return read(KEYS.left, z.array(LeftBehind)) ?? []
}

/** Notes how many entries of a person stay here unsent; none removes the note. */
export function noteLeftBehind(left: LeftBehind): void {
  const others = leftBehind().filter(
    (each) => each.personId !== left.personId || each.facility !== left.facility,
  )
  write(KEYS.left, left.entries > 0 ? [...others, left] : others)
}

/** Whether somebody signed out here while the server could not be told. */
export function owesSignOut(): boolean {
  return read(KEYS.owed, z.boolean()) ?? false
}

export function noteOwedSignOut(owed: boolean): void {
  write(KEYS.owed, owed)
}

/** What is stored under a key and fits its schema; null for anything else. */
export function read<T>(key: string, schema: z.ZodType<T>): T | null {
  try {
    const found = schema.safeParse(JSON.parse(localStorage.getItem(key) ?? 'null'))
    return found.success ? found.data : null
  } catch {
    return null
  }
}

/** Stores under a key. A browser that keeps nothing (private mode, full) costs a preference, never an entry. */
export function write(key: string, value: unknown): void {
  try {
    localStorage.setItem(key, JSON.stringify(value))
  } catch {
    // Nothing of the record is kept here; the app goes on without the preference.
  }
}

function remove(key: string): void {
  try {
    localStorage.removeItem(key)
  } catch {
    // As above.
  }
}
