import { mkdirSync } from 'node:fs'
import { dirname } from 'node:path'
import { Kysely, PostgresDialect, type SqliteDatabase, SqliteDialect } from 'kysely'
import Database from 'libsql'
import pg from 'pg'
import type { Tables } from './schema.ts'
import type { DatabaseKind } from './steps.ts'

/** An open database: the query builder, which kind it is, and how to close it. */
export type OpenDatabase = {
  readonly db: Kysely<Tables>
  readonly kind: DatabaseKind
  /** For LISTEN; null on the embedded store. */
  readonly pool: pg.Pool | null
}

/**
 * Opens the database that an address names: `postgres://…`, or the path of a file. SQLite is opened so that a commit
 * is on the disk before it returns (WAL with synchronous FULL).
 */
export function openDatabase(address: string): OpenDatabase {
  if (/^postgres(ql)?:\/\//.test(address)) return openPostgres(address)
  mkdirSync(dirname(address), { recursive: true })
  const file = new Database(address)
  for (const pragma of [
    'journal_mode = WAL',
    'synchronous = FULL',
    'busy_timeout = 5000',
    'foreign_keys = ON',
  ]) {
    file.exec(`pragma ${pragma}`)
  }
  const dialect = new SqliteDialect({ database: file as unknown as SqliteDatabase })
  return { db: new Kysely<Tables>({ dialect }), kind: 'sqlite', pool: null }
}

function openPostgres(address: string): OpenDatabase {
  // int8 as a number: sequences stay far below 2^53.
  pg.types.setTypeParser(20, Number)
  const pool = new pg.Pool({ connectionString: address, max: 12 })
  return { db: new Kysely<Tables>({ dialect: new PostgresDialect({ pool }) }), kind: 'postgres', pool }
}
