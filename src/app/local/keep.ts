import { Dexie, type EntityTable, type Table } from 'dexie'
import type { Download, Look, UploadAnswer } from '../../api/schemas.ts'
import { type AnyFact, KINDS, readFact } from '../../chart/registry.ts'
import type { Safe, Sealed } from './safe.ts'

/** A fact as the tablet keeps it, sealed; `sequence` is null until the ledger has given it one. */
type FactRow = {
  id: string
  sequence: number | null
  /** How far the writing device was ahead of the server [ms]; null when nobody said. */
  aheadMs: number | null
  /** False when this version of the program cannot read it: kept as it came, read after an update. */
  readable: boolean
  sealed: Sealed
}
/** The same in memory. */
type Entry = Omit<FactRow, 'sealed'> & { readonly fact: unknown }
type OutboxRow = { place: number; id: string }
export type Problem = { readonly where: string; readonly what: string }
/** A fact that the server would not take. It stays on the tablet, is shown, and can be sent again. */
export type Refused = { readonly id: string; readonly problems: readonly Problem[] }
type RefusedRow = { id: string; sealed: Sealed }
type LookRow = { place: number; id: string; sealed: Sealed }
type NoteRow = { key: string; value: unknown }

/** All that was kept, as it is needed in memory. */
export type Kept = {
  readonly facts: readonly AnyFact[]
  readonly aheadMs: ReadonlyMap<string, number>
  readonly waiting: readonly string[]
  readonly refused: readonly Refused[]
  readonly cursor: number
  /** The hash of the entry at the cursor, as it was told. */
  readonly mark: string | null
  readonly unreadable: number
}

/** Changes when any kind of fact gets a new version: then what is kept is read anew. */
const READ_BY = KINDS.map(({ kind, version }) => `${kind}.${version}`).join(' ')

class Database extends Dexie {
  declare facts: Table<FactRow, string>
  declare outbox: EntityTable<OutboxRow, 'place'>
  declare refused: Table<RefusedRow, string>
  declare notes: Table<NoteRow, string>
  declare looks: EntityTable<LookRow, 'place'>
  constructor(name: string) {
    // `strict`: a write is done when it is on the disk, not when the system has promised to put it there.
    super(name, { chromeTransactionDurability: 'strict' })
    this.version(1).stores({
      facts: 'id, sequence',
      outbox: '++place, &id',
      refused: 'id',
      notes: 'key',
    })
    this.version(2).stores({ looks: '++place, &id' })
  }
}

/**
 * One person's storage on this tablet, all that is said of patients sealed. Its name holds facility and person, so
 * that no two ever share one. Sealing and opening happen outside transactions: one ends when it is waited in for
 * anything but the database.
 */
export class Keep {
  readonly #db: Database
  readonly #safe: Safe
  readonly #personId: string
  constructor(facility: string, personId: string, safe: Safe) {
    this.#personId = personId
    this.#db = new Database(keepName(facility, personId))
    this.#safe = safe
  }

  /** Everything that is kept. What an older program could not read is tried again. */
  async load(): Promise<Kept> {
    const { facts, outbox, refused, notes } = this.#db
    const sameProgram = (await notes.get('read-by'))?.value === READ_BY
    if (!sameProgram) await this.#readAnew()
    const [rows, waiting, refusals, cursor, mark] = await this.#db.transaction(
      'r',
      facts,
      outbox,
      refused,
      notes,
      () =>
        Promise.all([
          facts.toArray(),
          outbox.orderBy('place').toArray(),
          refused.toArray(),
          notes.get('cursor'),
          notes.get('mark'),
        ]),
    )
    const entries = await Promise.all(rows.map((row) => this.#opened(row)))
    return {
      ...readable(entries),
      waiting: waiting.map(({ id }) => id),
      refused: await Promise.all(
        refusals.map(async ({ id, sealed }) => ({
          id,
          problems: (await this.#safe.open(sealed, id)) as Problem[],
        })),
      ),
      cursor: Number(cursor?.value ?? 0),
      mark: typeof mark?.value === 'string' ? mark.value : null,
    }
  }

  /** Writes facts made here, and that they wait to be sent, or neither. */
  async write(made: readonly AnyFact[]): Promise<void> {
    const { facts, outbox } = this.#db
    const rows = await this.#sealed(made.map((fact) => entry(fact, null, null)))
    await this.#db.transaction('rw', facts, outbox, async () => {
      await facts.bulkAdd(rows)
      await outbox.bulkAdd(made.map(({ id }) => ({ id })) as OutboxRow[])
    })
  }

  /** The facts of these ids that still wait, in order of writing. */
  async waiting(ids: readonly string[]): Promise<unknown[]> {
    const { facts, outbox } = this.#db
    const rows = await this.#db.transaction('r', facts, outbox, async () => {
      const still = await outbox.where('id').anyOf(ids).sortBy('place')
      return facts.bulkGet(still.map(({ id }) => id))
    })
    return Promise.all(rows.flatMap((row) => (row ? [this.#safe.open(row.sealed, row.id)] : [])))
  }

  /** Notes what the server answered, each fact once. */
  async settle(results: UploadAnswer['results']): Promise<void> {
    const { facts, outbox, refused } = this.#db
    const refusals = await Promise.all(
      results.flatMap((result) =>
        result.status === 'refused'
          ? [
              this.#safe
                .seal(result.problems, result.id)
                .then((sealed): RefusedRow => ({ id: result.id, sealed })),
            ]
          : [],
      ),
    )
    await this.#db.transaction('rw', facts, outbox, refused, async () => {
      await refused.bulkPut(refusals)
      for (const result of results) {
        if (result.status !== 'refused') await facts.update(result.id, { sequence: result.sequence })
        await outbox.where('id').equals(result.id).delete()
      }
    })
  }

  /** Puts refused facts back into the queue; gives their ids. */
  async retryRefused(): Promise<string[]> {
    const { outbox, refused } = this.#db
    return this.#db.transaction('rw', outbox, refused, async () => {
      const ids = (await refused.toArray()).map(({ id }) => id)
      await outbox.bulkAdd(ids.map((id) => ({ id })) as OutboxRow[])
      await refused.clear()
      return ids
    })
  }

  /** Takes over a page of the ledger and moves the cursor, together; gives what could be read, and how many not. */
  async take(entries: Download['entries'], cursor: number, mark: string | null): Promise<Readable> {
    const { facts, outbox, refused, notes } = this.#db
    const read = entries.map(({ fact, sequence, deviceAheadMs }) => entry(fact, sequence, deviceAheadMs))
    const rows = await this.#sealed(read)
    await this.#db.transaction('rw', facts, outbox, refused, notes, async () => {
      await facts.bulkPut(rows)
      // What the ledger holds needs no sending, even when the answer to the sending was lost.
      const ids = rows.map(({ id }) => id)
      await outbox.where('id').anyOf(ids).delete()
      await refused.bulkDelete(ids)
      const known = Number((await notes.get('cursor'))?.value ?? 0)
      if (cursor <= known) return
      await notes.put({ key: 'cursor', value: cursor })
      await notes.put({ key: 'mark', value: mark })
    })
    return readable(read)
  }

  /**
   * The ledger was brought back from an older copy: forgets how far it was taken over, and lets every fact of this person
   * wait again, for what they sent since may be nowhere but here. Nothing is removed. Gives the ids of what now waits.
   */
  async beginAnew(): Promise<string[]> {
    const { facts, outbox, refused, notes } = this.#db
    const kept = await Promise.all(
      (await facts.orderBy('sequence').toArray()).map((row) => this.#opened(row)),
    )
    const own = kept.flatMap(({ id, fact }) => (writerOf(fact) === this.#personId ? [id] : []))
    return this.#db.transaction('rw', facts, outbox, refused, notes, async () => {
      const waiting = new Set((await outbox.toArray()).map(({ id }) => id))
      const refusals = new Set((await refused.toArray()).map(({ id }) => id))
      const again = own.filter((id) => !waiting.has(id) && !refusals.has(id))
      await outbox.bulkAdd(again.map((id) => ({ id })) as OutboxRow[])
      await facts.toCollection().modify({ sequence: null })
      await notes.bulkDelete(['cursor', 'mark'])
      return again
    })
  }

  #sealed(entries: readonly Entry[]): Promise<FactRow[]> {
    return Promise.all(
      entries.map(async ({ fact, ...rest }) => ({ ...rest, sealed: await this.#safe.seal(fact, rest.id) })),
    )
  }

  async #opened({ sealed, ...rest }: FactRow): Promise<Entry> {
    return { ...rest, fact: await this.#safe.open(sealed, rest.id) }
  }

  /** After an update of the program: each fact that it can now read, or cannot any more, is kept as it now is. */
  async #readAnew(): Promise<void> {
    const { facts, notes } = this.#db
    const before = await Promise.all((await facts.toArray()).map((row) => this.#opened(row)))
    const after = before.map((kept) => entry(kept.fact, kept.sequence, kept.aheadMs))
    const changed = after.filter(({ readable }, index) => readable || readable !== before[index]?.readable)
    const rows = await this.#sealed(changed)
    await this.#db.transaction('rw', facts, notes, async () => {
      // The number may have come while the rows were sealed: of what is kept, only the reading is changed.
      for (const { id, readable, sealed } of rows) await facts.update(id, { readable, sealed })
      await notes.put({ key: 'read-by', value: READ_BY })
    })
  }

  /** Keeps that a patient's record was opened, until the server was told. */
  async addLook(look: Look): Promise<void> {
    const sealed = await this.#safe.seal(look, look.id)
    await this.#db.looks.add({ id: look.id, sealed } as LookRow)
  }

  /** What was opened and not told yet, oldest first, so many at most. */
  async looks(most: number): Promise<Look[]> {
    const rows = await this.#db.looks.orderBy('place').limit(most).toArray()
    return Promise.all(rows.map(async ({ id, sealed }) => (await this.#safe.open(sealed, id)) as Look))
  }

  /** The server was told of these. */
  async dropLooks(ids: readonly string[]): Promise<void> {
    await this.#db.looks.where('id').anyOf(ids).delete()
  }

  async note(key: string): Promise<unknown> {
    return (await this.#db.notes.get(key))?.value
  }

  async setNote(key: string, value: unknown): Promise<void> {
    await this.#db.notes.put({ key, value })
  }

  close(): void {
    this.#db.close()
  }
}

export function keepName(facility: string, personId: string): string {
  return `mistwright kept ${encodeURIComponent(facility)} ${encodeURIComponent(personId)}`
}

/**
 * How many entries of a person the server has not taken: facts waiting or refused, and records opened that it was not
 * told of. This can be told without the key.
 */
export async function countWaiting(facility: string, personId: string): Promise<number> {
  const db = new Database(keepName(facility, personId))
  try {
    return (await db.outbox.count()) + (await db.refused.count()) + (await db.looks.count())
  } finally {
    db.close()
  }
}

/** Removes a person's storage that nobody has open. */
export function removeKeep(facility: string, personId: string): Promise<void> {
  return Dexie.delete(keepName(facility, personId))
}

/** What the program can read of entries, and how many it cannot. */
type Readable = {
  readonly facts: AnyFact[]
  readonly aheadMs: Map<string, number>
  readonly unreadable: number
}

function readable(entries: readonly Entry[]): Readable {
  const good = entries.filter((each) => each.readable)
  return {
    facts: good.map((each) => each.fact as AnyFact),
    aheadMs: new Map(entries.flatMap(({ id, aheadMs }) => (aheadMs === null ? [] : [[id, aheadMs]]))),
    unreadable: entries.length - good.length,
  }
}

/** Who wrote a fact, also one that only a newer program can read. */
function writerOf(fact: unknown): unknown {
  return (fact as { readonly by?: { readonly personId?: unknown } } | null)?.by?.personId
}

function entry(given: unknown, sequence: number | null, aheadMs: number | null): Entry {
  const read = readFact(given)
  const id = read.ok ? read.fact.id : String((given as { id?: unknown }).id)
  return { id, sequence, aheadMs, readable: read.ok, fact: read.ok ? read.fact : given }
}
