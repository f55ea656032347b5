import { type Kysely, sql } from 'kysely'
import type { Tables } from './schema.ts'

/**
 * What goes along with the ledger: who may sign in and with what, sessions that are open, and the secrets of tablets,
 * without which nobody could open what a tablet keeps. Leases stay: they belong to processes that run. In an order in
 * which each finds what it refers to.
 */
export const SMALL_TABLES = [
  'user',
  'account',
  'session',
  'verification',
  'person',
  'sitting',
  'tablet',
] as const

type Row = Readonly<Record<string, unknown>>

/** Columns of the sign-in library that SQLite has as text or number, and PostgreSQL as an instant or a truth value. */
const INSTANT = /(?:At|ExpiresAt)$/
const FLAGS: ReadonlySet<string> = new Set(['emailVerified'])

/** Copies a table and reads it back. @throws Error when a row did not arrive as it was sent */
export async function copySmallTable(
  table: (typeof SMALL_TABLES)[number],
  source: Kysely<Tables>,
  target: Kysely<Tables>,
): Promise<void> {
  const rows = await all(source, table)
  for (const row of rows) {
    const columns = Object.keys(row)
    const values = columns.map((column) => sql`${forPostgres(column, row[column])}`)
    await sql`insert into ${sql.table(table)} (${sql.join(columns.map((column) => sql.ref(column)))})
      values (${sql.join(values)})`.execute(target)
  }
  const [sent, arrived] = [rows, await all(target, table)].map((each) => each.map(alike).sort())
  if (JSON.stringify(sent) !== JSON.stringify(arrived)) {
    throw new Error(`rows of ${table} did not arrive as they were sent`)
  }
}

async function all(db: Kysely<Tables>, table: string): Promise<readonly Row[]> {
  return (await sql<Row>`select * from ${sql.table(table)}`.execute(db)).rows
}

function forPostgres(column: string, value: unknown): unknown {
  if (value === null) return null
  if (INSTANT.test(column)) return new Date(value as string | number)
  return FLAGS.has(column) ? Boolean(value) : value
}

/** A row as text that is the same whichever database it came from. */
function alike(row: Row): string {
  const columns = Object.keys(row).sort()
  return JSON.stringify(columns.map((column) => [column, forPostgres(column, row[column])]))
}
