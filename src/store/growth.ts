import { type Kysely, sql } from 'kysely'
import type pg from 'pg'
import type { OpenDatabase } from './database.ts'
import type { Tables } from './schema.ts'

type Heard = (facility: string, last: number) => void

/** How long to wait before a broken line to the database is opened again [ms]. */
const AGAIN_MS = 1000
/** How often the file is asked whether another process has written to it [ms]. */
const LOOK_EVERY_MS = 1000

/** Tells all who want to know that a ledger has grown. */
export class Growth {
  readonly #listeners = new Set<Heard>()

  add(listener: Heard): () => void {
    this.#listeners.add(listener)
    return () => this.#listeners.delete(listener)
  }

  tell(facility: string, last: number): void {
    for (const listener of this.#listeners) listener(facility, last)
  }
}

/** Says within an append's transaction that the ledger grows; heard by other processes once it is committed. */
export async function notifyOthers(db: Kysely<Tables>, facility: string, last: number): Promise<void> {
  await sql`select pg_notify('ledger_grew', ${JSON.stringify({ facility, last })})`.execute(db)
}

/**
 * Hears of growth through other processes on the same database: by LISTEN on PostgreSQL, by asking the file once a
 * second on SQLite. Gives the way to stop.
 */
export async function hearOthers(open: OpenDatabase, tellAll: () => Promise<void>, heard: Heard) {
  return open.pool ? hearNotices(open.pool, tellAll, heard) : watchFile(open.db, tellAll)
}

/** A line that breaks is opened again; what was missed meanwhile is made good by telling all that is known. */
async function hearNotices(pool: pg.Pool, tellAll: () => Promise<void>, heard: Heard) {
  let line: pg.PoolClient | null = null
  let again: NodeJS.Timeout | null = null
  let stopped = false
  const retry = () => {
    if (!stopped) again = setTimeout(() => void open().then(tellAll).catch(retry), AGAIN_MS)
  }
  const open = async () => {
    const client = await pool.connect()
    line = client
    client.once('error', (error) => {
      line = null
      client.release(error)
      retry()
    })
    client.on('notification', ({ payload }) => {
      const { facility, last } = JSON.parse(payload ?? '{}') as { facility: string; last: number }
      heard(facility, last)
    })
    await client.query('listen ledger_grew')
  }
  await open()
  return async () => {
    stopped = true
    if (again) clearTimeout(again)
    // The connection is closed, not given back: whoever got it next would go on hearing.
    line?.release(true)
  }
}

/** SQLite counts what other connections wrote (pragma data_version); a changed count means: look again. */
async function watchFile(db: Kysely<Tables>, tellAll: () => Promise<void>) {
  const version = async () => {
    const { rows } = await sql<{ data_version: number }>`pragma data_version`.execute(db)
    return rows[0]?.data_version
  }
  let seen = await version()
  const look = async () => {
    const now = await version()
    if (now === seen) return
    seen = now
    await tellAll()
  }
  // A file that is busy or just being closed is asked again at the next turn.
  const timer = setInterval(() => void look().catch(() => undefined), LOOK_EVERY_MS)
  timer.unref()
  return async () => clearInterval(timer)
}
