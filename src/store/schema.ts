import type { Generated } from 'kysely'

/** The tables of the ledger, the same on both databases. Every key starts with the facility. */
export type Tables = {
  ledger: LedgerRow
  access_log: AccessRow
  person: PersonRow
  sitting: SittingRow
  schema_step: { step: string; done_at: string }
}

/** One entry of the ledger. `text` is the fact in canonical JSON, exactly as hashed; the other columns only find it. */
export type LedgerRow = {
  facility: string
  sequence: number
  fact_id: string
  kind: string
  patient_id: string | null
  order_id: string | null
  visit_id: string | null
  person_id: string
  happened_at: string
  received_at: string
  device_ahead_ms: number | null
  text: string
  previous_hash: string
  hash: string
}

/** Who looked at, printed or took out what. Holds ids only, never what was read. */
export type AccessRow = {
  id: Generated<number>
  facility: string
  at: string
  person_id: string
  what: string
  about: string | null
  request_id: string
}

/** Somebody who may sign in: ties the sign-in library's user to a person of the facility. */
export type PersonRow = {
  facility: string
  person_id: string
  user_id: string
  name: string
  role: string
  active: number
  pin_hash: string | null
  /** Wrong PINs in a row; after a few of them the password is asked for. */
  pin_tries: number
}

/** What a session is at: locked or not, when it was begun and last used [ISO instants]. */
export type SittingRow = {
  session_id: string
  locked: number
  begun_at: string
  used_at: string
}
