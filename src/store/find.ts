import { type Kysely, sql } from 'kysely'
import type { OtherSubject } from './finders.ts'
import type { LedgerRow, Tables } from './schema.ts'

const IDS_AT_ONCE = 1000

/** Entries filed under any of some messages, persons, handovers, shifts or documents, in order; of a kind only, if named. */
export async function rowsUnder(
  db: Kysely<Tables>,
  facility: string,
  subject: OtherSubject,
  ids: readonly string[],
  kind?: string,
): Promise<LedgerRow[]> {
  const found = new Map<number, LedgerRow>()
  for (let at = 0; at < ids.length; at += IDS_AT_ONCE) {
    const filed = db
      .selectFrom('also_about')
      .select('sequence')
      .where('facility', '=', facility)
      .where('subject', '=', subject)
      .where('id', 'in', ids.slice(at, at + IDS_AT_ONCE))
      .$if(kind !== undefined, (query) => query.where('kind', '=', kind ?? ''))
    const rows = await db
      .selectFrom('ledger')
      .selectAll()
      .where('facility', '=', facility)
      .where('sequence', 'in', filed)
      .execute()
    for (const row of rows) found.set(row.sequence, row)
  }
  return [...found.values()].sort((a, b) => a.sequence - b.sequence)
}

/** The entry of a fact, if it is stored. */
export function rowOfFact(db: Kysely<Tables>, facility: string, id: string): Promise<LedgerRow | undefined> {
  return db
    .selectFrom('ledger')
    .selectAll()
    .where('facility', '=', facility)
    .where('fact_id', '=', id)
    .executeTakeFirst()
}

/** Every entry about some patients, orders or visits, in order; after a number only, where one is given. */
export async function rowsAbout(
  db: Kysely<Tables>,
  facility: string,
  subject: 'patient' | 'order' | 'visit',
  ids: readonly string[],
  after = 0,
): Promise<LedgerRow[]> {
  const found: LedgerRow[] = []
  for (let at = 0; at < ids.length; at += IDS_AT_ONCE) {
    const rows = await db
      .selectFrom('ledger')
      .selectAll()
      .where('facility', '=', facility)
      .where(`${subject}_id`, 'in', ids.slice(at, at + IDS_AT_ONCE))
      .where('sequence', '>', after)
      .execute()
    found.push(...rows)
  }
  return found.sort((a, b) => a.sequence - b.sequence)
}

/** Every entry of some kinds, in order. */
export function rowsOfKinds(
  db: Kysely<Tables>,
  facility: string,
  kinds: readonly string[],
): Promise<LedgerRow[]> {
  return db
    .selectFrom('ledger')
    .selectAll()
    .where('facility', '=', facility)
    .where('kind', 'in', kinds)
    .orderBy('sequence')
    .execute()
}

/** Entries about no patient after a number, in order. */
export function rowsOfNobody(db: Kysely<Tables>, facility: string, after: number): Promise<LedgerRow[]> {
  return db
    .selectFrom('ledger')
    .selectAll()
    .where('facility', '=', facility)
    .where('patient_id', 'is', null)
    .where('sequence', '>', after)
    .orderBy('sequence')
    .execute()
}

export type Window = {
  /** Patients of whom something was received since [ISO instant], wherever they are. */
  readonly touchedSince: string
  /** Patients whom the census has not discharged, unless nothing was received of them since then [ISO instant]. */
  readonly hereSince: string
  /** Only patients on these units; everywhere when left out. Patients whose unit nobody has said are on each. */
  readonly units?: readonly string[]
}

/** The patients with whom somebody may still have to do. */
export async function livePatients(db: Kysely<Tables>, facility: string, window: Window): Promise<string[]> {
  const { touchedSince, hereSince, units } = window
  const rows = await db
    .selectFrom('whereabouts')
    .select('patient_id')
    .where('facility', '=', facility)
    .where((where) =>
      where.or([
        where('touched_at', '>=', touchedSince),
        where.and([where('is_here', '=', 1), where('touched_at', '>=', hereSince)]),
      ]),
    )
    .$if(units !== undefined, (query) =>
      query.where((where) =>
        where.or([where('unit', 'in', units?.length ? units : ['']), where('unit', 'is', null)]),
      ),
    )
    .execute()
  return rows.map(({ patient_id }) => patient_id).sort()
}

/** The patients of whom something was received since an instant. */
export async function patientsTouched(
  db: Kysely<Tables>,
  facility: string,
  since: string,
): Promise<string[]> {
  const rows = await db
    .selectFrom('whereabouts')
    .select('patient_id')
    .where('facility', '=', facility)
    .where('touched_at', '>=', since)
    .execute()
  return rows.map(({ patient_id }) => patient_id)
}

/** The patients of whom an entry after a number says something. */
export async function patientsAfter(
  db: Kysely<Tables>,
  facility: string,
  sequence: number,
): Promise<string[]> {
  const rows = await db
    .selectFrom('ledger')
    .select('patient_id')
    .distinct()
    .where('facility', '=', facility)
    .where('sequence', '>', sequence)
    .where('patient_id', 'is not', null)
    .execute()
  return rows.flatMap(({ patient_id }) => patient_id ?? [])
}

/** The number of the last entry received before an instant: numbers are given in the order of receiving. */
export async function lastBefore(db: Kysely<Tables>, facility: string, instant: string): Promise<number> {
  const receivedAt = async (atLeast: number) =>
    db
      .selectFrom('ledger')
      .select(['sequence', 'received_at'])
      .where('facility', '=', facility)
      .where('sequence', '>=', atLeast)
      .orderBy('sequence')
      .limit(1)
      .executeTakeFirst()
  const { last } = await db
    .selectFrom('ledger')
    .select(({ fn }) => fn.max('sequence').as('last'))
    .where('facility', '=', facility)
    .executeTakeFirstOrThrow()
  let [low, high] = [0, Number(last ?? 0)]
  while (low < high) {
    const middle = Math.ceil((low + high) / 2)
    const found = await receivedAt(middle)
    if (found && found.received_at < instant) low = middle
    else high = middle - 1
  }
  return low
}

/**
 * Messages that somebody may still have to see to: ours that nobody has taken yet, or that were given up; and those from
 * outside of which something stayed undone and which nobody has settled.
 */
export async function openMessages(db: Kysely<Tables>, facility: string): Promise<string[]> {
  const unanswered = await sql<{ id: string }>`
    select a.id from also_about a
    where a.facility = ${facility} and a.subject = 'message' and a.kind = 'message-composed' and not exists (
      select 1 from also_about b where b.facility = a.facility and b.subject = a.subject and b.id = a.id
        and b.kind = 'message-answered')`.execute(db)
  const givenUp = await sql<{ id: string }>`
    select a.id from ledger l join also_about a on a.facility = l.facility and a.sequence = l.sequence
    where l.facility = ${facility} and l.kind = 'message-answered' and a.subject = 'message'
      and l.text not like '%"outcome":"taken"%'`.execute(db)
  const unsettled = await unsettledMessages(db, facility)
  const found = [...unanswered.rows, ...givenUp.rows, ...unsettled].map(({ id }) => id)
  return [...new Set(found)].sort()
}

/** Messages from outside of which something stayed undone and which nobody has settled, and their entries' numbers. */
export async function unsettledMessages(
  db: Kysely<Tables>,
  facility: string,
): Promise<{ readonly id: string; readonly sequence: number }[]> {
  const { rows } = await sql<{ id: string; sequence: number }>`
    select a.id, a.sequence from also_about a
    where a.facility = ${facility} and a.subject = 'unsettled' and not exists (
      select 1 from also_about b where b.facility = a.facility and b.subject = 'settled'
        and b.id = 'message:' || a.id)`.execute(db)
  return rows
}

/** Of some items under Settle, those that a person has settled. */
export async function settledOf(
  db: Kysely<Tables>,
  facility: string,
  items: readonly string[],
): Promise<string[]> {
  const found: string[] = []
  for (let at = 0; at < items.length; at += IDS_AT_ONCE) {
    const rows = await db
      .selectFrom('also_about')
      .select('id')
      .distinct()
      .where('facility', '=', facility)
      .where('subject', '=', 'settled')
      .where('id', 'in', items.slice(at, at + IDS_AT_ONCE))
      .execute()
    found.push(...rows.map(({ id }) => id))
  }
  return found
}
