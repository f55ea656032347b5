import { Dexie, type EntityTable, type Table } from 'dexie'
import type { Download, UploadAnswer } from '../../api/schemas.ts'
import { type AnyFact, KINDS, readFact } from '../../chart/registry.ts'

/** A fact as the tablet keeps it; `sequence` is null until the ledger has given it one. */
type FactRow = {
  id: string
  sequence: number | null
  /** How far the writing device was ahead of the server [ms]; null when nobody said. */
  aheadMs: number | null
  /** False when this version of the program cannot read it: kept as it came, read after an update. */
  readable: boolean
  fact: unknown
}
type OutboxRow = { place: number; id: string }
export type Problem = { readonly where: string; readonly what: string }
/** A fact that the server would not take. It stays on the tablet, is shown, and can be sent again. */
export type Refused = { readonly id: string; readonly problems: readonly Problem[] }
type NoteRow = { key: string; value: unknown }

/** All that was kept, as it is needed in memory. */
export type Kept = {
  readonly facts: readonly AnyFact[]
  readonly aheadMs: ReadonlyMap<string, number>
  readonly waiting: readonly string[]
  readonly refused: readonly Refused[]
  readonly cursor: number
  readonly unreadable: number
}

/** Changes when any kind of fact gets a new version: then what is kept is read anew. */
const READ_BY = KINDS.map(({ kind, version }) => `${kind}.${version}`).join(' ')

class Database extends Dexie {
  declare facts: Table<FactRow, string>
  declare outbox: EntityTable<OutboxRow, 'place'>
  declare refused: Table<Refused, string>
  declare notes: Table<NoteRow, string>
  constructor(name: string) {
    // `strict`: a write is done when it is on the disk, not when the system has promised to put it there.
    super(name, { chromeTransactionDurability: 'strict' })
    this.version(1).stores({
      facts: 'id, sequence',
      outbox: '++place, &id',
      refused: 'id',
      notes: 'key',
    })
  }
}

/** One person's storage on this tablet. Its name holds facility and person, so that no two ever share one. */
export class Keep {
  readonly #db: Database
  constructor(facility: string, personId: string) {
    this.#db = new Database(keepName(facility, personId))
  }

  /** Everything that is kept. What an older program could not read is tried again. */
  async load(): Promise<Kept> {
    const { facts, outbox, refused, notes } = this.#db
    return this.#db.transaction('rw', facts, outbox, refused, notes, async () => {
      const sameProgram = (await notes.get('read-by'))?.value === READ_BY
      const rows = await facts.toArray()
      if (!sameProgram) {
        await facts.bulkPut(rows.map(readAgain).filter((row, index) => row !== rows[index]))
        await notes.put({ key: 'read-by', value: READ_BY })
      }
      const readable = sameProgram ? rows : await facts.toArray()
      const waiting = await outbox.orderBy('place').toArray()
      return {
        facts: readable.filter((row) => row.readable).map((row) => row.fact as AnyFact),
        aheadMs: new Map(readable.flatMap(({ id, aheadMs }) => (aheadMs === null ? [] : [[id, aheadMs]]))),
        waiting: waiting.map(({ id }) => id),
        refused: await refused.toArray(),
        cursor: Number((await notes.get('cursor'))?.value ?? 0),
        unreadable: readable.filter((row) => !row.readable).length,
      }
    })
  }

  /** Writes facts made here, and that they wait to be sent, or neither. */
  async write(made: readonly AnyFact[]): Promise<void> {
    const { facts, outbox } = this.#db
    await this.#db.transaction('rw', facts, outbox, async () => {
      await facts.bulkAdd(made.map((fact) => row(fact, null, null)))
      await outbox.bulkAdd(made.map(({ id }) => ({ id })) as OutboxRow[])
    })
  }

  /** The facts of these ids that still wait, in order of writing. */
  async waiting(ids: readonly string[]): Promise<unknown[]> {
    const { facts, outbox } = this.#db
    return this.#db.transaction('r', facts, outbox, async () => {
      const still = await outbox.where('id').anyOf(ids).sortBy('place')
      const rows = await facts.bulkGet(still.map(({ id }) => id))
      return rows.flatMap((each) => (each ? [each.fact] : []))
    })
  }

  /** Notes what the server answered, each fact once. */
  async settle(results: UploadAnswer['results']): Promise<void> {
    const { facts, outbox, refused } = this.#db
    await this.#db.transaction('rw', facts, outbox, refused, async () => {
      for (const result of results) {
        if (result.status === 'refused') await refused.put({ id: result.id, problems: result.problems })
        else await facts.update(result.id, { sequence: result.sequence })
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
  async take(
    entries: Download['entries'],
    cursor: number,
  ): Promise<{
    readonly facts: AnyFact[]
    readonly aheadMs: Map<string, number>
    readonly unreadable: number
  }> {
    const { facts, outbox, refused, notes } = this.#db
    const rows = entries.map(({ fact, sequence, deviceAheadMs }) => row(fact, sequence, deviceAheadMs))
    await this.#db.transaction('rw', facts, outbox, refused, notes, async () => {
      await facts.bulkPut(rows)
      // What the ledger holds needs no sending, even when the answer to the sending was lost.
      const ids = rows.map(({ id }) => id)
      await outbox.where('id').anyOf(ids).delete()
      await refused.bulkDelete(ids)
      const known = Number((await notes.get('cursor'))?.value ?? 0)
      await notes.put({ key: 'cursor', value: Math.max(known, cursor) })
    })
    const readable = rows.filter((each) => each.readable)
    return {
      facts: readable.map((each) => each.fact as AnyFact),
      aheadMs: new Map(readable.flatMap(({ id, aheadMs }) => (aheadMs === null ? [] : [[id, aheadMs]]))),
      unreadable: rows.length - readable.length,
    }
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

  /** Removes this person's storage from the tablet, all of it. */
  async remove(): Promise<void> {
    await this.#db.delete()
  }
}

export function keepName(facility: string, personId: string): string {
  return `mistwright ${encodeURIComponent(facility)} ${encodeURIComponent(personId)}`
}

function row(given: unknown, sequence: number | null, aheadMs: number | null): FactRow {
  const read = readFact(given)
  const id = read.ok ? read.fact.id : String((given as { id?: unknown }).id)
  return { id, sequence, aheadMs, readable: read.ok, fact: read.ok ? read.fact : given }
}

function readAgain(kept: FactRow): FactRow {
  const again = row(kept.fact, kept.sequence, kept.aheadMs)
  return again.readable || again.readable !== kept.readable ? again : kept
}
