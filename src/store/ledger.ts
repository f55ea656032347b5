import { type Kysely, sql, type Transaction } from 'kysely'
import { type LedgerEntry, nextEntry } from '../chart/chain.ts'
import { type FactEnvelope, factText } from '../chart/fact.ts'
import type { OpenDatabase } from './database.ts'
import type { LedgerRow, Tables } from './schema.ts'

/** What became of one fact of a batch. `known`: stored before, the same to the letter; sending again changed nothing. */
export type Appended =
  | { readonly id: string; readonly status: 'stored' | 'known'; readonly sequence: number }
  | { readonly id: string; readonly status: 'refused'; readonly why: string }

export type Incoming = {
  readonly facts: readonly FactEnvelope[]
  readonly receivedAt: string
  readonly deviceAheadMs: number | null
}

/** How many entries are read from the database at a time. */
const PAGE = 2000

/**
 * The append-only store of facts of all facilities. Each facility has its own gap-free sequence and hash chain. An
 * append returns only after the database has committed, and so after the disk has it.
 */
export class Ledger {
  readonly #open: OpenDatabase
  readonly #listeners = new Set<(facility: string, last: number) => void>()

  constructor(open: OpenDatabase) {
    this.#open = open
  }

  get #db(): Kysely<Tables> {
    return this.#open.db
  }

  /**
   * Stores a batch, all of one facility, wholly or not at all. A fact that is there already with the same text is
   * `known`; one with another text under the same id is refused, and the others are stored.
   */
  async append(facility: string, incoming: Incoming): Promise<Appended[]> {
    const appended = await this.#db.transaction().execute(async (transaction) => {
      await this.#lock(transaction, facility)
      return appendWithin(transaction, facility, incoming)
    })
    const last = appended.reduce(
      (most, each) => (each.status === 'stored' ? Math.max(most, each.sequence) : most),
      0,
    )
    if (last > 0) this.#announce(facility, last)
    return appended
  }

  /**
   * One writer at a time for each facility, until the transaction ends. Without it a later sequence number could
   * become visible before an earlier one, and "everything after n" would skip it. SQLite has one writer anyway.
   */
  async #lock(transaction: Transaction<Tables>, facility: string): Promise<void> {
    if (this.#open.kind === 'postgres') {
      await sql`select pg_advisory_xact_lock(hashtextextended(${facility}, 0))`.execute(transaction)
    }
  }

  /** Entries after a sequence number, in order. */
  async after(facility: string, sequence: number, limit: number): Promise<LedgerEntry[]> {
    const rows = await this.#db
      .selectFrom('ledger')
      .selectAll()
      .where('facility', '=', facility)
      .where('sequence', '>', sequence)
      .orderBy('sequence')
      .limit(limit)
      .execute()
    return rows.map(entryOf)
  }

  /** The highest sequence number; 0 for an empty ledger. */
  async last(facility: string): Promise<number> {
    const { last } = await this.#db
      .selectFrom('ledger')
      .select(({ fn }) => fn.max('sequence').as('last'))
      .where('facility', '=', facility)
      .executeTakeFirstOrThrow()
    return Number(last ?? 0)
  }

  /** Every entry of a facility, in order, a page at a time. */
  async *entries(facility: string, from = 0): AsyncGenerator<LedgerEntry> {
    let after = from
    while (true) {
      const page = await this.after(facility, after, PAGE)
      yield* page
      if (page.length < PAGE) return
      after = page.at(-1)?.sequence ?? after
    }
  }

  /** The facilities that have entries. */
  async facilities(): Promise<string[]> {
    const rows = await this.#db
      .selectFrom('ledger')
      .select('facility')
      .distinct()
      .orderBy('facility')
      .execute()
    return rows.map(({ facility }) => facility)
  }

  /** Tells whenever a facility's ledger has grown, here or (on PostgreSQL) through another server process. */
  onGrowth(listener: (facility: string, last: number) => void): () => void {
    this.#listeners.add(listener)
    return () => this.#listeners.delete(listener)
  }

  #announce(facility: string, last: number): void {
    for (const listener of this.#listeners) listener(facility, last)
    if (this.#open.kind !== 'postgres') return
    sql`select pg_notify('ledger_grew', ${JSON.stringify({ facility, last })})`
      .execute(this.#db)
      .catch(() => {
        // The other processes will see it at their next look; the entry itself is stored.
      })
  }

  /**
   * Hears of growth through other server processes on the same PostgreSQL. Does nothing on SQLite. Gives the way to
   * stop.
   */
  async listen(): Promise<() => Promise<void>> {
    const { pool } = this.#open
    if (!pool) return async () => {}
    const client = await pool.connect()
    client.on('notification', ({ payload }) => {
      const heard = payload === undefined ? null : (JSON.parse(payload) as { facility: string; last: number })
      if (heard) for (const listener of this.#listeners) listener(heard.facility, heard.last)
    })
    await client.query('listen ledger_grew')
    return async () => {
      await client.query('unlisten ledger_grew')
      client.release()
    }
  }

  /** Copies the whole database into a new file while it is in use. SQLite only; see docs/department.md for PostgreSQL. */
  async backup(path: string): Promise<void> {
    if (this.#open.kind !== 'sqlite') {
      throw new Error(
        'a PostgreSQL ledger is backed up with pg_dump or pg_basebackup; docs/department.md says how',
      )
    }
    await sql`vacuum into ${path}`.execute(this.#db)
  }

  /** Notes who looked at, printed or took out what. */
  async noteAccess(access: Omit<Tables['access_log'], 'id'>): Promise<void> {
    await this.#db.insertInto('access_log').values(access).execute()
  }

  close(): Promise<void> {
    return this.#db.destroy()
  }
}

async function appendWithin(
  transaction: Transaction<Tables>,
  facility: string,
  { facts, receivedAt, deviceAheadMs }: Incoming,
): Promise<Appended[]> {
  const known = await knownTexts(transaction, facility, facts)
  let last =
    (await transaction
      .selectFrom('ledger')
      .select(['sequence', 'hash'])
      .where('facility', '=', facility)
      .orderBy('sequence', 'desc')
      .limit(1)
      .executeTakeFirst()) ?? null
  const rows: LedgerRow[] = []
  const appended = facts.map((fact): Appended => {
    const text = factText(fact)
    const before = known.get(fact.id)
    if (before) {
      if (before.text === text) return { id: fact.id, status: 'known', sequence: before.sequence }
      return {
        id: fact.id,
        status: 'refused',
        why: 'another fact with this id is stored already; it was kept, this one was not',
      }
    }
    const entry = nextEntry(last, { facility, factId: fact.id, receivedAt, deviceAheadMs, text })
    last = entry
    known.set(fact.id, { text, sequence: entry.sequence })
    rows.push(rowOf(entry, fact))
    return { id: fact.id, status: 'stored', sequence: entry.sequence }
  })
  // SQLite takes at most 32,766 values in one statement; a row has 14.
  for (let at = 0; at < rows.length; at += PAGE)
    await transaction
      .insertInto('ledger')
      .values(rows.slice(at, at + PAGE))
      .execute()
  return appended
}

async function knownTexts(
  transaction: Transaction<Tables>,
  facility: string,
  facts: readonly FactEnvelope[],
): Promise<Map<string, { text: string; sequence: number }>> {
  const known = new Map<string, { text: string; sequence: number }>()
  for (let at = 0; at < facts.length; at += PAGE) {
    const rows = await transaction
      .selectFrom('ledger')
      .select(['fact_id', 'text', 'sequence'])
      .where('facility', '=', facility)
      .where(
        'fact_id',
        'in',
        facts.slice(at, at + PAGE).map(({ id }) => id),
      )
      .execute()
    for (const { fact_id, text, sequence } of rows) known.set(fact_id, { text, sequence })
  }
  return known
}

function rowOf(entry: LedgerEntry, fact: FactEnvelope): LedgerRow {
  return {
    facility: entry.facility,
    sequence: entry.sequence,
    fact_id: entry.factId,
    kind: fact.kind,
    patient_id: fact.about.patientId ?? null,
    order_id: fact.about.orderId ?? null,
    visit_id: fact.about.visitId ?? null,
    person_id: fact.by.personId,
    happened_at: fact.happenedAt,
    received_at: entry.receivedAt,
    device_ahead_ms: entry.deviceAheadMs,
    text: entry.text,
    previous_hash: entry.previousHash,
    hash: entry.hash,
  }
}

function entryOf(row: LedgerRow): LedgerEntry {
  return {
    facility: row.facility,
    sequence: row.sequence,
    factId: row.fact_id,
    receivedAt: row.received_at,
    deviceAheadMs: row.device_ahead_ms,
    text: row.text,
    previousHash: row.previous_hash,
    hash: row.hash,
  }
}
