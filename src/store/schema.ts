/** The tables of the ledger, the same on both databases. Every key starts with the facility. */
export type Tables = {
  ledger: LedgerRow
  access_log: AccessRow
  also_about: AlsoAboutRow
  whereabouts: WhereaboutsRow
  person: PersonRow
  sitting: SittingRow
  lease: LeaseRow
  tablet: TabletRow
  schema_step: { step: string; done_at: string }
  /** The sign-in library's own; read and written through it, but for ending all sessions of a user. */
  session: { id: string; userId: string }
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

/** An entry filed under something it is about that the ledger has no column for. Follows from the ledger. */
export type AlsoAboutRow = {
  facility: string
  subject: string
  id: string
  sequence: number
  kind: string
}

/** Where a patient is by the census, and when the last fact about them was received. Follows from the ledger. */
export type WhereaboutsRow = {
  facility: string
  patient_id: string
  unit: string | null
  /** 1 until the census says that the patient was discharged. */
  is_here: number
  touched_at: string
}

/** Who looked at, printed or took out what. Holds ids only, never what was read. Chained like the ledger. */
export type AccessRow = {
  facility: string
  sequence: number
  at: string
  person_id: string
  what: string
  about: string | null
  request_id: string
  previous_hash: string
  hash: string
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
  /** Wrong passwords in a row, and when the last was tried [ISO instant]. */
  password_tries: number
  password_tried_at: string | null
}

/** What a session is at: since when it is locked, if it is; when it was begun and last used [ISO instants]. */
export type SittingRow = {
  facility: string
  session_id: string
  locked_at: string | null
  begun_at: string
  used_at: string
}

/**
 * One person on one tablet: the secret that opens what it keeps, when it was heard of last and how many facts it then
 * had still to send, and since when it was given up as lost.
 */
export type TabletRow = {
  facility: string
  device_id: string
  person_id: string
  secret: string
  waiting: number
  heard_at: string
  ended_at: string | null
}

/** Which process does something that only one may do at a time, and until when [ms since 1970]. */
export type LeaseRow = {
  facility: string
  name: string
  owner: string
  until_ms: number
}
