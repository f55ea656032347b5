import { Dexie, type EntityTable, type Table } from 'dexie'
import type { Sealed } from './safe.ts'

/** A fact as the tablet keeps it, sealed; `sequence` is null until the ledger has given it one. */
export type FactRow = {
  readonly id: string
  readonly sequence: number | null
  /** How far the writing device was ahead of the server [ms]; null when nobody said. */
  readonly aheadMs: number | null
  /** False when this version of the program cannot read it: kept as it came, read after an update. */
  readonly readable: boolean
  /** Of whom it is: the name of their row under `held`. Empty when it is about nobody; missing from older programs. */
  readonly held?: string
  readonly sealed: Sealed
}

/**
 * A patient of whom something is kept. The id is sealed, since it follows from the record number; the name is drawn by
 * this tablet and says nothing.
 */
export type HeldRow = {
  readonly name: string
  /** The patient's id, sealed under the name. */
  readonly sealed: Sealed
  /**
   * All that the ledger says of them is here, up to the cursor, since what was held was changed for the so-manieth time;
   * null when there is only what was written here.
   */
  readonly wholeSince: number | null
  /** In the set that the server named last. */
  readonly isInScope: boolean
  /** Not let go before [ms since 1970], whatever the server names. */
  readonly staysUntilMs: number
}

export type OutboxRow = { place: number; id: string }
export type RefusedRow = { id: string; sealed: Sealed }
export type LookRow = { place: number; id: string; sealed: Sealed }
export type NoteRow = { key: string; value: unknown }

/** One person's database on this tablet. */
export class KeepDatabase extends Dexie {
  declare facts: Table<FactRow, string>
  declare held: Table<HeldRow, string>
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
    // What an older program took over was not by patient: it is filed anew, and the ledger is gone through again.
    this.version(3)
      .stores({ facts: 'id, sequence, held', held: 'name' })
      .upgrade((transaction) => transaction.table('notes').bulkDelete(['cursor', 'mark']))
  }
}

/** What a person's database on this tablet is called: it holds facility and person, so that no two ever share one. */
export function keepName(facility: string, personId: string): string {
  return `mistwright kept ${encodeURIComponent(facility)} ${encodeURIComponent(personId)}`
}

/**
 * How many entries of a person the server has not taken: facts waiting or refused, and records opened that it was not
 * told of. This can be told without the key.
 */
export async function countWaiting(facility: string, personId: string): Promise<number> {
  const db = new KeepDatabase(keepName(facility, personId))
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
