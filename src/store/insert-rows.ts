import { CompiledQuery, type Transaction } from 'kysely'
import type { LedgerRow, Tables } from './schema.ts'
import type { DatabaseKind } from './steps.ts'

/** The columns of a ledger's row, in the order in which they are written. */
export const LEDGER_COLUMNS = [
  'facility',
  'sequence',
  'fact_id',
  'kind',
  'patient_id',
  'order_id',
  'visit_id',
  'person_id',
  'happened_at',
  'received_at',
  'device_ahead_ms',
  'text',
  'previous_hash',
  'hash',
] as const satisfies readonly (keyof LedgerRow)[]

/** Rows in one statement. SQLite takes at most 32,766 values in one, PostgreSQL 65,535; a row has 14. */
const ROWS_AT_ONCE = 500

/**
 * Stores entries. The statement is written here, once for each number of rows, and not built anew each time: building it
 * for a batch costs as much as the database takes to do it.
 */
export async function insertRows(
  transaction: Transaction<Tables>,
  kind: DatabaseKind,
  rows: readonly LedgerRow[],
): Promise<void> {
  for (let at = 0; at < rows.length; at += ROWS_AT_ONCE) {
    const some = rows.slice(at, at + ROWS_AT_ONCE)
    const values: unknown[] = []
    for (const row of some) for (const column of LEDGER_COLUMNS) values.push(row[column])
    await transaction.executeQuery(CompiledQuery.raw(statementOf(kind, some.length), values))
  }
}

const statements = new Map<string, string>()

function statementOf(kind: DatabaseKind, count: number): string {
  const key = `${kind} ${count}`
  const known = statements.get(key)
  if (known !== undefined) return known
  const place = (at: number) => (kind === 'sqlite' ? '?' : `$${at + 1}`)
  const row = (at: number) =>
    `(${LEDGER_COLUMNS.map((_, column) => place(at * LEDGER_COLUMNS.length + column)).join(', ')})`
  const made = `insert into ledger (${LEDGER_COLUMNS.join(', ')}) values ${Array.from({ length: count }, (_, at) => row(at)).join(', ')}`
  statements.set(key, made)
  return made
}
