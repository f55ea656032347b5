import { type Kysely, sql } from 'kysely'
import type { FactEnvelope } from '../chart/fact.ts'
import { isUnsettled, messageState } from '../chart/folds/message.ts'
import { foldPatient } from '../chart/folds/patient.ts'
import { readFact } from '../chart/registry.ts'
import type { AlsoAboutRow, Tables, WhereaboutsRow } from './schema.ts'

/** What a fact can be about besides what the ledger has a column for. */
export const OTHER_SUBJECTS = {
  message: 'messageId',
  person: 'personId',
  handover: 'handoverId',
  shift: 'shiftId',
  document: 'document',
} as const satisfies Record<string, keyof FactEnvelope['about']>
export type OtherSubject = keyof typeof OTHER_SUBJECTS

/** A fact that is stored, and where. */
export type Stored = { readonly fact: FactEnvelope; readonly sequence: number; readonly receivedAt: string }

const ROWS_AT_ONCE = 2000
const PATIENTS_AT_ONCE = 500

/**
 * Files facts under what they are about, within the transaction that stores them: by message, person, handover, shift
 * and document, and of each patient where they are and when something was last said of them. All of it follows from
 * the ledger and could be made anew (`refile`).
 */
export async function fileUnder(
  db: Kysely<Tables>,
  facility: string,
  stored: readonly Stored[],
): Promise<void> {
  await insertRows(
    db,
    stored.flatMap(({ fact, sequence }) => alsoAbout(facility, fact, sequence)),
  )
  await noteWhereabouts(db, facility, stored)
}

async function insertRows(db: Kysely<Tables>, rows: readonly AlsoAboutRow[]): Promise<void> {
  for (let at = 0; at < rows.length; at += ROWS_AT_ONCE) {
    await db
      .insertInto('also_about')
      .values(rows.slice(at, at + ROWS_AT_ONCE))
      .execute()
  }
}

/** What an entry is filed under besides the ledger's own columns. */
export function alsoAbout(facility: string, fact: FactEnvelope, sequence: number): AlsoAboutRow[] {
  const { about, kind } = fact
  const rows = Object.entries(OTHER_SUBJECTS).flatMap(([subject, key]) => {
    const id = about[key]
    return id === undefined ? [] : [{ facility, subject, id, sequence, kind }]
  })
  return [...rows, ...settling(facility, fact, sequence)]
}

/**
 * A message of which something stayed undone is filed under `unsettled`, and what a person brought to an end under
 * `settled`, so that the ones without the others are found without reading them all.
 */
function settling(facility: string, fact: FactEnvelope, sequence: number): AlsoAboutRow[] {
  const { kind } = fact
  if (kind !== 'message-received' && kind !== 'item-settled') return []
  const read = readFact(fact)
  if (!read.ok) return []
  if (read.fact.kind === 'item-settled')
    return [{ facility, subject: 'settled', id: read.fact.body.item, sequence, kind }]
  if (read.fact.kind !== 'message-received') return []
  const message = messageState(read.fact)
  if (!isUnsettled(message)) return []
  return [{ facility, subject: 'unsettled', id: message.messageId, sequence, kind }]
}

async function noteWhereabouts(
  db: Kysely<Tables>,
  facility: string,
  stored: readonly Stored[],
): Promise<void> {
  const touched = new Map<string, string>()
  const moved = new Set<string>()
  for (const { fact, receivedAt } of stored) {
    const { patientId } = fact.about
    if (patientId === undefined) continue
    touched.set(patientId, receivedAt)
    if (fact.kind === 'census-updated') moved.add(patientId)
  }
  const rows = await Promise.all(
    [...touched].map(async ([patient_id, touched_at]): Promise<WhereaboutsRow> => {
      const where = moved.has(patient_id)
        ? await placeOf(db, facility, patient_id)
        : { unit: null, is_here: 1 }
      return { facility, patient_id, touched_at, ...where }
    }),
  )
  await upsert(
    db,
    rows.filter(({ patient_id }) => moved.has(patient_id)),
    true,
  )
  await upsert(
    db,
    rows.filter(({ patient_id }) => !moved.has(patient_id)),
    false,
  )
}

/** What nobody has said of in the census counts as here: what is not known must not be passed over. */
async function upsert(
  db: Kysely<Tables>,
  rows: readonly WhereaboutsRow[],
  withPlace: boolean,
): Promise<void> {
  for (let at = 0; at < rows.length; at += PATIENTS_AT_ONCE) {
    await db
      .insertInto('whereabouts')
      .values(rows.slice(at, at + PATIENTS_AT_ONCE))
      .onConflict((conflict) =>
        conflict.columns(['facility', 'patient_id']).doUpdateSet(({ ref }) => ({
          touched_at: ref('excluded.touched_at'),
          ...(withPlace && { unit: ref('excluded.unit'), is_here: ref('excluded.is_here') }),
        })),
      )
      .execute()
  }
}

/** Where the census has a patient: folded from all that it said, for it may come late and out of order. */
export async function placeOf(
  db: Kysely<Tables>,
  facility: string,
  patientId: string,
): Promise<Pick<WhereaboutsRow, 'unit' | 'is_here'>> {
  const rows = await db
    .selectFrom('ledger')
    .select('text')
    .where('facility', '=', facility)
    .where('patient_id', '=', patientId)
    .where('kind', '=', 'census-updated')
    .execute()
  const facts = rows.flatMap(({ text }) => {
    const read = readFact(JSON.parse(text))
    return read.ok ? [read.fact] : []
  })
  const { place, dischargedAt } = foldPatient(patientId, facts)
  return { unit: place?.unit ?? null, is_here: dischargedAt === null ? 1 : 0 }
}

/** Throws the filing away and makes it anew from the ledger. */
export async function fileAnew(db: Kysely<Tables>): Promise<void> {
  await db.transaction().execute(async (transaction) => {
    await transaction.deleteFrom('also_about').execute()
    await transaction.deleteFrom('whereabouts').execute()
    await refile(transaction)
  })
}

/** Files every entry that there is: for a ledger that was written before, or brought from elsewhere. */
export function refile(db: Kysely<Tables>): Promise<void> {
  return eachPage(db, null, (facility, stored) => fileUnder(db, facility, stored))
}

/** Files what stayed undone and what was settled, of a ledger that was filed before that was. */
export async function fileSettling(db: Kysely<Tables>): Promise<void> {
  await db.deleteFrom('also_about').where('subject', 'in', ['unsettled', 'settled']).execute()
  await eachPage(db, ['message-received', 'item-settled'], (facility, stored) =>
    insertRows(
      db,
      stored.flatMap(({ fact, sequence }) => settling(facility, fact, sequence)),
    ),
  )
}

/** Goes through the ledger in order, or through its entries of some kinds. */
async function eachPage(
  db: Kysely<Tables>,
  kinds: readonly string[] | null,
  file: (facility: string, stored: readonly Stored[]) => Promise<void>,
): Promise<void> {
  let after = { facility: '', sequence: 0 }
  while (true) {
    const rows = await db
      .selectFrom('ledger')
      .select(['facility', 'sequence', 'text', 'received_at'])
      .where(sql<boolean>`(facility, sequence) > (${after.facility}, ${after.sequence})`)
      .$if(kinds !== null, (query) => query.where('kind', 'in', kinds ?? []))
      .orderBy('facility')
      .orderBy('sequence')
      .limit(ROWS_AT_ONCE)
      .execute()
    const last = rows.at(-1)
    if (!last) return
    for (const facility of new Set(rows.map((row) => row.facility))) {
      const stored = rows
        .filter((row) => row.facility === facility)
        .map(({ text, sequence, received_at }) => ({
          fact: JSON.parse(text) as FactEnvelope,
          sequence,
          receivedAt: received_at,
        }))
      await file(facility, stored)
    }
    after = last
  }
}
