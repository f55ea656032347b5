import { type Kysely, sql } from 'kysely'
import type { Tables } from './schema.ts'

/** Tables to which entries are only ever added. */
const APPEND_ONLY: ReadonlySet<string> = new Set(['ledger', 'access_log', 'also_about'])
/** Tables that only the owner changes. */
const READ_ONLY: ReadonlySet<string> = new Set(['schema_step'])

/** What the role that the server runs as may do with a table: nothing more than the program does. */
function rightsOn(table: string): string {
  if (APPEND_ONLY.has(table)) return 'select, insert'
  return READ_ONLY.has(table) ? 'select' : 'select, insert, update, delete'
}

/**
 * Lets a role of PostgreSQL work as a server and do nothing else: it reads and appends to the ledger and the access
 * log, keeps people and sessions, and cannot change a table. Run by the owner, again after each migration. A partition
 * is reached through its table only.
 */
export async function grantTo(db: Kysely<Tables>, role: string): Promise<void> {
  await db.transaction().execute(async (transaction) => {
    const { rows } = await sql<{ name: string; partition: boolean }>`
      select relname as name, relispartition as partition from pg_class
      where relnamespace = current_schema()::regnamespace and relkind in ('r', 'p')`.execute(transaction)
    await sql`grant usage on schema ${sql.id(await schemaOf(transaction))} to ${sql.id(role)}`.execute(
      transaction,
    )
    for (const { name, partition } of rows) {
      await sql`revoke all on ${sql.table(name)} from ${sql.id(role)}, public`.execute(transaction)
      if (partition) continue
      await sql`grant ${sql.raw(rightsOn(name))} on ${sql.table(name)} to ${sql.id(role)}`.execute(
        transaction,
      )
    }
  })
}

async function schemaOf(db: Kysely<Tables>): Promise<string> {
  const { rows } = await sql<{ name: string }>`select current_schema() as name`.execute(db)
  return rows[0]?.name ?? 'public'
}
