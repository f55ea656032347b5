import { type Kysely, sql } from 'kysely'
import { firstBrokenNote } from './access-log.ts'
import type { OpenDatabase } from './database.ts'
import { refile } from './finders.ts'
import { Ledger } from './ledger.ts'
import { copySmallTable, SMALL_TABLES } from './move-small-tables.ts'
import type { Tables } from './schema.ts'
import { stepsToDo } from './steps.ts'
import { verifyLedger } from './verify.ts'

/** What a move carries, table by table; of facilities the length and the end of the chain. */
export type Moved = {
  readonly facilities: readonly {
    readonly facility: string
    readonly entries: number
    readonly lastHash: string
  }[]
  readonly rows: Readonly<Record<string, number>>
}

/** Thrown when a move was not begun, or was given up; neither database was changed. */
export class CannotMove extends Error {
  override readonly name = 'CannotMove'
}

/** PostgreSQL takes at most 65,535 values in one statement; an entry has 14. */
const ROWS_AT_ONCE = 2000
const GROWING = ['ledger', 'access_log'] as const
const GUARD = 'moved_away'
const MOVED = 'this ledger was moved to another database; nothing was stored here'

/** What a move would carry, and whether it is still to be carried or arrived already. */
type Looked = { readonly carries: Moved; readonly arrived: boolean }

/**
 * What a move would carry, and what stands in its way.
 * @throws CannotMove
 */
export async function lookBeforeMove(from: OpenDatabase, to: OpenDatabase): Promise<Looked> {
  if (from.kind !== 'sqlite' || to.kind !== 'postgres') {
    throw new CannotMove(
      'a ledger is moved from SQLite to PostgreSQL: name the file first, then postgres://…',
    )
  }
  const behind = await stepsToDo(from.db)
  if (behind.length > 0) {
    throw new CannotMove('the SQLite ledger is of an older version; run "mistwright migrate" on it first')
  }
  const carries = await whole(from, 'the SQLite ledger')
  const occupied = (await stepsToDo(to.db)).length === 0 ? await firstRow(to.db) : null
  if (occupied === null) return { carries, arrived: false }
  if (same(await whole(to, 'the PostgreSQL ledger'), carries)) return { carries, arrived: true }
  throw new CannotMove(`the PostgreSQL database is not empty: it has ${occupied}. Name an empty one`)
}

/**
 * Moves everything from an SQLite file to an empty PostgreSQL database, and proves it: every column of every entry is
 * read back and compared, every chain computed anew. All of it is one transaction, so that a move that is cut off
 * leaves the new database as empty as it was. The file takes no fact meanwhile, nor ever after; it can be read. Where
 * everything arrived before, only that last part is made good.
 * @throws CannotMove
 */
export async function moveLedger(from: OpenDatabase, to: OpenDatabase): Promise<Moved> {
  const { arrived } = await lookBeforeMove(from, to)
  return from.db.transaction().execute(async (source) => {
    const here = await whole({ db: source, kind: 'sqlite', pool: null }, 'the SQLite ledger')
    if (!arrived) await to.db.transaction().execute((target) => carry(source, target, here))
    for (const table of GROWING) {
      await sql`create trigger if not exists ${sql.id(`${table}_${GUARD}`)} before insert on ${sql.table(table)}
        begin select raise(abort, ${sql.lit(MOVED)}); end`.execute(source)
    }
    return here
  })
}

async function carry(source: Kysely<Tables>, target: Kysely<Tables>, here: Moved): Promise<void> {
  await sql`lock table ledger, access_log, person in exclusive mode`.execute(target)
  const occupied = await firstRow(target)
  if (occupied !== null) throw new CannotMove(`the PostgreSQL database has meanwhile got ${occupied}`)
  for (const table of GROWING)
    for (const facility of await facilitiesIn(source, table))
      await copyGrowing(table, facility, source, target)
  for (const table of SMALL_TABLES) await copySmallTable(table, source, target)
  await refile(target)
  const there = await whole({ db: target, kind: 'postgres', pool: null }, 'what arrived')
  if (!same(there, here)) throw new CannotMove('what arrived is not what was sent')
}

const same = (one: Moved, other: Moved) => JSON.stringify(one) === JSON.stringify(other)

/** Whether a file was moved to another database: then nothing more can be stored in it. */
export async function isMovedAway({ db, kind }: OpenDatabase): Promise<boolean> {
  if (kind !== 'sqlite') return false
  const { rows } = await sql`select 1 from sqlite_master where name = ${`ledger_${GUARD}`}`.execute(db)
  return rows.length > 0
}

/** Says what a database holds; null when it holds nothing. */
async function firstRow(db: Kysely<Tables>): Promise<string | null> {
  for (const table of [...GROWING, 'person', 'tablet'] as const) {
    const found = await db.selectFrom(table).select('facility').limit(1).executeTakeFirst()
    if (found) return `rows of ${found.facility} in ${table}`
  }
  return null
}

async function facilitiesIn(db: Kysely<Tables>, table: (typeof GROWING)[number]): Promise<string[]> {
  const rows = await db.selectFrom(table).select('facility').distinct().execute()
  return rows.map(({ facility }) => facility).sort()
}

/** Counts, and the chains computed anew. @throws CannotMove when one does not hold */
async function whole(open: OpenDatabase, what: string): Promise<Moved> {
  const ledger = new Ledger(open)
  const facilities = []
  const named = await Promise.all(GROWING.map((table) => facilitiesIn(open.db, table)))
  for (const facility of [...new Set(named.flat())].sort()) {
    const report = await verifyLedger(ledger, facility)
    const note = await firstBrokenNote((after) => ledger.accessAfter(facility, after, ROWS_AT_ONCE))
    if (report.kind === 'broken') {
      throw new CannotMove(
        `the chain of ${facility} in ${what} is broken at entry ${report.sequence}: ${report.why}`,
      )
    }
    if (note !== null)
      throw new CannotMove(`the access log of ${facility} in ${what} is broken at note ${note}`)
    facilities.push({ facility, entries: report.entries, lastHash: report.lastHash })
  }
  const rows: Record<string, number> = {}
  for (const table of [...GROWING, ...SMALL_TABLES]) rows[table] = await countOf(open.db, table)
  return { facilities, rows }
}

async function countOf(db: Kysely<Tables>, table: string): Promise<number> {
  const { rows } = await sql<{ n: number | string }>`select count(*) as n from ${sql.table(table)}`.execute(
    db,
  )
  return Number(rows[0]?.n)
}

/** Copies page by page, in the order of the chain, and reads each page back to compare every column of it. */
async function copyGrowing(
  table: (typeof GROWING)[number],
  facility: string,
  source: Kysely<Tables>,
  target: Kysely<Tables>,
): Promise<void> {
  const page = (db: Kysely<Tables>, after: number) =>
    db
      .selectFrom(table)
      .selectAll()
      .where('facility', '=', facility)
      .where('sequence', '>', after)
      .orderBy('sequence')
      .limit(ROWS_AT_ONCE)
      .execute()
  let after = 0
  while (true) {
    const rows = await page(source, after)
    const last = rows.at(-1)
    if (!last) return
    await target
      .insertInto(table)
      .values(rows as never)
      .execute()
    const arrived = await page(target, after)
    if (JSON.stringify(arrived.map(inColumns)) !== JSON.stringify(rows.map(inColumns))) {
      throw new CannotMove(`entries of ${table} after ${after} did not arrive as they were sent`)
    }
    after = last.sequence
  }
}

const inColumns = (row: object) => Object.entries(row).sort(([a], [b]) => (a < b ? -1 : 1))
