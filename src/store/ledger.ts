import { type Kysely, sql, type Transaction } from 'kysely'
import type { LedgerEntry } from '../chart/chain.ts'
import { type Access, accessAfter, noteAccess } from './access-log.ts'
import { type Appended, appendWithin, type Incoming } from './append.ts'
import type { OpenDatabase } from './database.ts'
import {
  lastBefore,
  livePatients,
  openMessages,
  patientsAfter,
  patientsTouched,
  rowOfFact,
  rowsAbout,
  rowsOfKinds,
  rowsOfNobody,
  rowsUnder,
  settledOf,
  unsettledMessages,
  type Window,
} from './find.ts'
import type { OtherSubject } from './finders.ts'
import { Growth, hearOthers, notifyOthers } from './growth.ts'
import { type Head, headsAfter, numbersOfNobody, rowsAt } from './heads.ts'
import { endLease, type Lease, takeLease } from './lease.ts'
import { entryOf } from './ledger-rows.ts'
import { firstMisfiled } from './misfiled.ts'
import type { AccessRow, LedgerRow, Tables } from './schema.ts'

/** What entries can be found by. */
export type Subject = 'patient' | 'order' | 'visit' | 'person'

/** How many entries are read from the database at a time. */
const PAGE = 2000

/**
 * The append-only store of facts of all facilities. Each facility has its own gap-free sequence and hash chain. An
 * append returns only after the database has committed, and so after the disk has it.
 */
export class Ledger {
  readonly #open: OpenDatabase
  readonly #growth = new Growth()

  constructor(open: OpenDatabase) {
    this.#open = open
  }

  get #db(): Kysely<Tables> {
    return this.#open.db
  }

  /**
   * Stores a batch, all of one facility, wholly or not at all. A fact that is there already with the same text is
   * `known`; one with another text under the same id is refused, and the others are stored.
   * @throws LedgerMoved with `onlyIfLast`, NotTogether with `together`; nothing was stored then
   */
  async append(facility: string, incoming: Incoming): Promise<Appended[]> {
    const { appended, last } = await this.#inTurn(`ledger ${facility}`, async (transaction) => {
      const appended = await appendWithin(transaction, this.#open.kind, facility, incoming)
      const last = appended.reduce(
        (most, each) => (each.status === 'stored' ? Math.max(most, each.sequence) : most),
        0,
      )
      if (last > 0 && this.#open.pool) await notifyOthers(transaction, facility, last)
      return { appended, last }
    })
    if (last > 0) this.#growth.tell(facility, last)
    return appended
  }

  /**
   * One writer at a time for each facility, until the transaction ends. Without it a later sequence number could
   * become visible before an earlier one, and "everything after n" would skip it. SQLite has one writer anyway.
   * Each statement must see what was committed while this one waited, whatever the server's default.
   */
  #inTurn<T>(lock: string, act: (transaction: Transaction<Tables>) => Promise<T>): Promise<T> {
    const { db, kind } = this.#open
    if (kind === 'sqlite') return db.transaction().execute(act)
    return db
      .transaction()
      .setIsolationLevel('read committed')
      .execute(async (transaction) => {
        await sql`select pg_advisory_xact_lock(hashtextextended(${lock}, 0))`.execute(transaction)
        return act(transaction)
      })
  }

  /** Entries after a sequence number, in order. */
  async after(facility: string, sequence: number, limit: number): Promise<LedgerEntry[]> {
    return (await this.#rowsAfter(facility, sequence, limit)).map(entryOf)
  }

  /** Every entry about a patient, an order or a visit, or written by a person, in order. */
  async about(facility: string, subject: Subject, id: string): Promise<LedgerEntry[]> {
    const rows = await this.#db
      .selectFrom('ledger')
      .selectAll()
      .where('facility', '=', facility)
      .where(`${subject}_id`, '=', id)
      .orderBy('sequence')
      .execute()
    return rows.map(entryOf)
  }

  /** Every entry filed under a message, a person, a handover, a shift or a document, in order. */
  under(facility: string, subject: OtherSubject, id: string): Promise<LedgerEntry[]> {
    return this.underAny(facility, subject, [id])
  }

  /** Every entry filed under any of these, each once, in order; of one kind only, where one is named. */
  async underAny(
    facility: string,
    subject: OtherSubject,
    ids: readonly string[],
    kind?: string,
  ): Promise<LedgerEntry[]> {
    return (await rowsUnder(this.#db, facility, subject, ids, kind)).map(entryOf)
  }

  /** The entry of one fact; null when it is not stored. */
  async entryOfFact(facility: string, factId: string): Promise<LedgerEntry | null> {
    const row = await rowOfFact(this.#db, facility, factId)
    return row ? entryOf(row) : null
  }

  /** Every entry about some patients, orders or visits, in order; after a number only, where one is given. */
  async aboutAny(
    facility: string,
    subject: 'patient' | 'order' | 'visit',
    ids: readonly string[],
    after = 0,
  ): Promise<LedgerEntry[]> {
    return (await rowsAbout(this.#db, facility, subject, ids, after)).map(entryOf)
  }

  /** Every entry of some kinds, in order. */
  async ofKinds(facility: string, kinds: readonly string[]): Promise<LedgerEntry[]> {
    return (await rowsOfKinds(this.#db, facility, kinds)).map(entryOf)
  }

  /** Entries about no patient after a number, in order. */
  async ofNobody(facility: string, after: number): Promise<LedgerEntry[]> {
    return (await rowsOfNobody(this.#db, facility, after)).map(entryOf)
  }

  /** The patients with whom somebody may still have to do. */
  livePatients(facility: string, window: Window): Promise<string[]> {
    return livePatients(this.#db, facility, window)
  }

  /** The patients of whom something was received since an instant. */
  patientsTouched(facility: string, since: string): Promise<string[]> {
    return patientsTouched(this.#db, facility, since)
  }

  /** The patients of whom an entry after a number says something. */
  patientsAfter(facility: string, sequence: number): Promise<string[]> {
    return patientsAfter(this.#db, facility, sequence)
  }

  /** Messages that somebody may still have to see to. */
  openMessages(facility: string): Promise<string[]> {
    return openMessages(this.#db, facility)
  }

  /** Messages from outside of which something stayed undone and which nobody has settled, and their entries' numbers. */
  unsettledMessages(facility: string): Promise<{ readonly id: string; readonly sequence: number }[]> {
    return unsettledMessages(this.#db, facility)
  }

  /** Of some items under Settle, those that a person has settled. */
  settledOf(facility: string, items: readonly string[]): Promise<string[]> {
    return settledOf(this.#db, facility, items)
  }

  /** What came after a number, without its text, in order. */
  headsAfter(facility: string, after: number, limit: number): Promise<Head[]> {
    return headsAfter(this.#db, facility, after, limit)
  }

  /** The numbers of entries about no patient: of some kinds only, or after a number but for some kinds. In order. */
  numbersOfNobody(facility: string, which: Parameters<typeof numbersOfNobody>[2]): Promise<number[]> {
    return numbersOfNobody(this.#db, facility, which)
  }

  /** The entries with these numbers, in order. */
  async at(facility: string, numbers: readonly number[]): Promise<LedgerEntry[]> {
    return (await rowsAt(this.#db, facility, numbers)).map(entryOf)
  }

  /** The number of the last entry received before an instant. */
  lastBefore(facility: string, instant: string): Promise<number> {
    return lastBefore(this.#db, facility, instant)
  }

  #rowsAfter(facility: string, sequence: number, limit: number): Promise<LedgerRow[]> {
    return this.#db
      .selectFrom('ledger')
      .selectAll()
      .where('facility', '=', facility)
      .where('sequence', '>', sequence)
      .orderBy('sequence')
      .limit(limit)
      .execute()
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

  /** The hash of an entry, which says all that came before it too; null when there is no such entry. */
  async hashAt(facility: string, sequence: number): Promise<string | null> {
    const row = await this.#db
      .selectFrom('ledger')
      .select('hash')
      .where('facility', '=', facility)
      .where('sequence', '=', sequence)
      .executeTakeFirst()
    return row?.hash ?? null
  }

  /** The number of the last entry that somebody wrote; 0 when there is none. */
  async lastBy(facility: string, personId: string): Promise<number> {
    const { last } = await this.#db
      .selectFrom('ledger')
      .select(({ fn }) => fn.max('sequence').as('last'))
      .where('facility', '=', facility)
      .where('person_id', '=', personId)
      .executeTakeFirstOrThrow()
    return Number(last ?? 0)
  }

  /** The number of the last entry of a kind; 0 when there is none. */
  async lastOfKind(facility: string, kind: string): Promise<number> {
    const { last } = await this.#db
      .selectFrom('ledger')
      .select(({ fn }) => fn.max('sequence').as('last'))
      .where('facility', '=', facility)
      .where('kind', '=', kind)
      .executeTakeFirstOrThrow()
    return Number(last ?? 0)
  }

  /** Every entry of a facility, in order, a page at a time. */
  async *entries(facility: string, from = 0): AsyncGenerator<LedgerEntry> {
    for await (const row of this.rows(facility, from)) yield entryOf(row)
  }

  /** Every entry with the columns it is found by, in order, a page at a time. */
  async *rows(facility: string, from = 0): AsyncGenerator<LedgerRow> {
    let after = from
    while (true) {
      const page = await this.#rowsAfter(facility, after, PAGE)
      yield* page
      if (page.length < PAGE) return
      after = page.at(-1)?.sequence ?? after
    }
  }

  /** The first thing by which a search would go wrong, in words; null when all is filed as the facts say. */
  misfiled(facility: string): Promise<string | null> {
    return firstMisfiled(this.#db, facility)
  }

  /** The facilities that have entries. One look into the key each: a list of all entries would be read to its end. */
  async facilities(): Promise<string[]> {
    const found: string[] = []
    while (true) {
      const { next } = await this.#db
        .selectFrom('ledger')
        .select(({ fn }) => fn.min('facility').as('next'))
        .where('facility', '>', found.at(-1) ?? '')
        .executeTakeFirstOrThrow()
      if (next === null) return found
      found.push(next)
    }
  }

  /** Tells whenever a facility's ledger has grown, here or, while it listens, through another process. */
  onGrowth(listener: (facility: string, last: number) => void): () => void {
    return this.#growth.add(listener)
  }

  /** Hears of growth through other processes on the same database. Gives the way to stop. */
  listen(): Promise<() => Promise<void>> {
    const tellAll = async () => {
      for (const facility of await this.facilities()) this.#growth.tell(facility, await this.last(facility))
    }
    return hearOthers(this.#open, tellAll, (facility, last) => this.#growth.tell(facility, last))
  }

  /** Notes who looked at, printed or took out what. */
  async noteAccess(access: Access): Promise<void> {
    await this.#inTurn(`access ${access.facility}`, (transaction) => noteAccess(transaction, access))
  }

  /** Notes of access after a sequence number, in order; of one person only when one is named. */
  accessAfter(facility: string, sequence: number, limit: number, personId?: string): Promise<AccessRow[]> {
    return accessAfter(this.#db, facility, sequence, limit, personId)
  }

  /** Takes or keeps the right to do something alone. False while another process has it. */
  takeLease(lease: Lease): Promise<boolean> {
    return takeLease(this.#db, lease)
  }

  endLease(lease: Pick<Lease, 'facility' | 'name' | 'owner'>): Promise<void> {
    return endLease(this.#db, lease)
  }

  close(): Promise<void> {
    return this.#db.destroy()
  }
}
