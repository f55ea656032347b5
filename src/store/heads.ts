import type { Kysely } from 'kysely'
import type { LedgerRow, Tables } from './schema.ts'

/** What an entry is, without its text: enough to choose by. */
export type Head = {
  readonly sequence: number
  readonly kind: string
  readonly patientId: string | null
}

/** SQLite takes at most 32,766 values in one statement. */
const ROWS_AT_ONCE = 1000

/** What came after a number, in order. */
export async function headsAfter(
  db: Kysely<Tables>,
  facility: string,
  after: number,
  limit: number,
): Promise<Head[]> {
  const rows = await db
    .selectFrom('ledger')
    .select(['sequence', 'kind', 'patient_id'])
    .where('facility', '=', facility)
    .where('sequence', '>', after)
    .orderBy('sequence')
    .limit(limit)
    .execute()
  return rows.map(({ sequence, kind, patient_id }) => ({ sequence, kind, patientId: patient_id }))
}

/** The numbers of entries about no patient: of some kinds only, or after a number but for some kinds. In order. */
export async function numbersOfNobody(
  db: Kysely<Tables>,
  facility: string,
  which: { readonly kinds: readonly string[] } | { readonly after: number; readonly but: readonly string[] },
): Promise<number[]> {
  const ofNobody = db
    .selectFrom('ledger')
    .select('sequence')
    .where('facility', '=', facility)
    .where('patient_id', 'is', null)
    .orderBy('sequence')
  const chosen =
    'kinds' in which
      ? ofNobody.where('kind', 'in', which.kinds)
      : ofNobody.where('sequence', '>', which.after).where('kind', 'not in', which.but)
  return (await chosen.execute()).map(({ sequence }) => sequence)
}

/** The entries with these numbers, in order. */
export async function rowsAt(
  db: Kysely<Tables>,
  facility: string,
  numbers: readonly number[],
): Promise<LedgerRow[]> {
  const found: LedgerRow[] = []
  for (let at = 0; at < numbers.length; at += ROWS_AT_ONCE) {
    const rows = await db
      .selectFrom('ledger')
      .selectAll()
      .where('facility', '=', facility)
      .where('sequence', 'in', numbers.slice(at, at + ROWS_AT_ONCE))
      .execute()
    found.push(...rows)
  }
  return found.sort((a, b) => a.sequence - b.sequence)
}
