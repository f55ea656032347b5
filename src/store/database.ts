import { closeSync, existsSync, mkdirSync, openSync } from 'node:fs'
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

/** Whether an address names a database server; otherwise it is the path of a file. */
export function isPostgres(address: string): boolean {
  return /^postgres(ql)?:\/\//.test(address)
}

/**
 * Opens the database that an address names: `postgres://…`, or the path of a file. SQLite is opened so that a commit
 * is on the disk before it returns (WAL with synchronous FULL), and its file can be read by its owner alone.
 */
export function openDatabase(address: string): OpenDatabase {
  if (isPostgres(address)) return openPostgres(address)
  mkdirSync(dirname(address), { recursive: true })
  if (!existsSync(address)) createForOwner(address)
  const file = new Database(address)
  for (const pragma of [
    'busy_timeout = 5000',
    'journal_mode = WAL',
    'synchronous = FULL',
    'foreign_keys = ON',
  ]) {
    file.exec(`pragma ${pragma}`)
  }
  const dialect = new SqliteDialect({ database: writingAtOnce(file) })
  return { db: new Kysely<Tables>({ dialect }), kind: 'sqlite', pool: null }
}

/**
 * Makes the empty file that only its owner can read. Never done to a file that is there: closing any handle of it would
 * drop the locks of every connection of this process (POSIX fcntl), and another process would then take the log away
 * from under them.
 */
function createForOwner(path: string): void {
  try {
    closeSync(openSync(path, 'wx', 0o600))
  } catch (error) {
    // Another process made it in this very moment.
    if (!existsSync(path)) throw error
  }
}

/** How many statements are kept prepared: reading the text of one costs SQLite as much as doing it. Design rule. */
const STATEMENTS_KEPT = 50

/**
 * Every transaction here writes. One that begins by reading would fail when another process (a command beside the
 * server) writes in between; one that takes the writer's place at its beginning waits for its turn instead.
 */
function writingAtOnce(file: Database.Database): SqliteDatabase {
  const prepared = new Map<string, ReturnType<typeof file.prepare>>()
  const prepare = (statement: string) => {
    const text = statement === 'begin' ? 'begin immediate' : statement
    const known = prepared.get(text) ?? file.prepare(text)
    // Used last goes to the end, and the one that was not used for longest away.
    prepared.delete(text)
    prepared.set(text, known)
    const [oldest] = prepared.keys()
    if (prepared.size > STATEMENTS_KEPT && oldest !== undefined) prepared.delete(oldest)
    return known
  }
  return {
    prepare,
    close: () => file.close(),
  } as unknown as SqliteDatabase
}

function openPostgres(address: string): OpenDatabase {
  // int8 as a number: sequences stay far below 2^53.
  pg.types.setTypeParser(20, Number)
  const pool = new pg.Pool({ connectionString: address, max: 12 })
  // A connection that breaks while nobody uses it is replaced by the pool; unheard, the event would end the process.
  pool.on('error', () => {})
  // So does one that breaks in a transaction, between two of its statements: the next of them fails, and tells.
  pool.on('connect', (client) => client.on('error', () => {}))
  return { db: new Kysely<Tables>({ dialect: new PostgresDialect({ pool }) }), kind: 'postgres', pool }
}
