import type { LedgerEntryTold, Look, UploadAnswer } from '../../api/schemas.ts'
import type { AnyFact } from '../../chart/registry.ts'
import { staysByLook, staysByOwn } from './held.ts'
import { type HeldNow, HeldOnDisk } from './held-on-disk.ts'
import {
  type FactRow,
  type HeldRow,
  KeepDatabase,
  keepName,
  type LookRow,
  type OutboxRow,
  type RefusedRow,
} from './keep-database.ts'
import {
  type Entry,
  entry,
  openedRow,
  patientOf,
  READ_BY,
  type Readable,
  readable,
  sealedRow,
  writerOf,
} from './kept-entry.ts'
import { beginNewLog } from './new-log.ts'
import { PatientNames } from './patient-names.ts'
import type { Safe } from './safe.ts'

export type Problem = { readonly where: string; readonly what: string }
/** A fact that the server would not take. It stays on the tablet, is shown, and can be sent again. */
export type Refused = { readonly id: string; readonly problems: readonly Problem[] }

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
  /** Whether the server has said whom the shift concerns, and all of them are here. */
  readonly isScoped: boolean
}

/** Up to where what is taken over reaches, and what was held when it was asked for. */
export type UpTo = Pick<HeldNow, 'generation'> & { readonly cursor: number; readonly mark: string | null }

/**
 * One person's storage on this tablet, all that is said of patients sealed. Its name holds facility and person, so
 * that no two ever share one. Sealing and opening happen outside transactions: one ends when it is waited in for
 * anything but the database.
 */
export class Keep {
  readonly #db: KeepDatabase
  readonly #safe: Safe
  readonly #personId: string
  readonly #nowMs: () => number
  #opened: Promise<HeldOnDisk> | null = null
  #newLog: Promise<void> = Promise.resolve()
  constructor(facility: string, personId: string, safe: Safe, nowMs: () => number = Date.now) {
    this.#personId = personId
    this.#db = new KeepDatabase(keepName(facility, personId))
    this.#safe = safe
    this.#nowMs = nowMs
  }

  #held(): Promise<HeldOnDisk> {
    this.#opened ??= PatientNames.open(this.#db, this.#safe).then(
      (names) => new HeldOnDisk(this.#db, this.#safe, names),
    )
    return this.#opened
  }

  /** To be called once when the app opens: what is written from now on waits until it outlives being killed twice. */
  beginNewLog(): void {
    this.#newLog = beginNewLog(this.#db)
  }

  /** Everything that is kept. What an older program could not read is tried again. */
  async load(): Promise<Kept> {
    const { facts, held, outbox, refused, notes } = this.#db
    const sameProgram = (await notes.get('read-by'))?.value === READ_BY
    if (!sameProgram) await this.#readAnew()
    await this.#fileByPatient()
    const ofPatients = await this.#held()
    const [rows, heldRows, waiting, refusals, cursor, mark, note] = await this.#db.transaction(
      'r',
      [facts, held, outbox, refused, notes],
      () =>
        Promise.all([
          facts.toArray(),
          held.toArray(),
          outbox.orderBy('place').toArray(),
          refused.toArray(),
          notes.get('cursor'),
          notes.get('mark'),
          ofPatients.noteWithin(),
        ]),
    )
    const entries = await Promise.all(rows.map((row) => openedRow(this.#safe, row)))
    await ofPatients.nowInMemory([], heldRows)
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
      isScoped: note.scope !== null,
    }
  }

  /** Writes facts made here, and that they wait to be sent, or neither. */
  async write(made: readonly AnyFact[]): Promise<void> {
    const { facts, held, outbox } = this.#db
    const ofPatients = await this.#held()
    const patients = await this.#patientsOf(made)
    const rows = await this.#sealed(
      made.map((fact) => entry(fact, null, null)),
      patients,
    )
    const stays = staysByOwn(made, this.#personId, this.#nowMs())
    await this.#newLog
    await this.#db.transaction('rw', facts, held, outbox, async () => {
      await ofPatients.ensureWithin(patients, stays)
      await facts.bulkAdd(rows)
      await outbox.bulkAdd(made.map(({ id }) => ({ id })) as OutboxRow[])
    })
    ofPatients.remember(patients)
  }

  /** Facts that another window wrote have come into this window's memory. */
  async heard(facts: readonly AnyFact[]): Promise<void> {
    const ofPatients = await this.#held()
    ofPatients.remember(await this.#patientsOf(facts))
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

  /**
   * Takes over entries of what is held and moves the cursor, together; gives what could be read, and how many not. Null,
   * with nothing taken, when something else is held by now than was asked about.
   */
  async take(told: readonly LedgerEntryTold[], upTo: UpTo): Promise<Readable | null> {
    const { facts, held, outbox, refused, notes } = this.#db
    const ofPatients = await this.#held()
    const { read, rows, patients, stays } = await this.#read(told)
    const isTaken = await this.#db.transaction('rw', [facts, held, outbox, refused, notes], async () => {
      if ((await ofPatients.noteWithin()).generation !== upTo.generation) return false
      await ofPatients.ensureWithin(patients, stays)
      await this.#putWithin(rows)
      if (upTo.cursor > (await this.#cursorWithin())) {
        await notes.put({ key: 'cursor', value: upTo.cursor })
        await notes.put({ key: 'mark', value: upTo.mark })
      }
      return true
    })
    if (!isTaken) return null
    ofPatients.remember(patients)
    return readable(read)
  }

  /**
   * Takes over all that the ledger says of some patients up to an entry: from now on they are held whole. Null, with
   * nothing taken, when the cursor is past that entry by now, so that something might be missing between; and before there
   * is a cursor, for it will begin anywhere.
   */
  async hold(
    ids: readonly string[],
    told: readonly LedgerEntryTold[],
    upTo: number,
  ): Promise<Readable | null> {
    const { facts, held, outbox, refused, notes } = this.#db
    const ofPatients = await this.#held()
    const { read, rows, patients, stays } = await this.#read(told)
    const whole = await ofPatients.newRows(ids)
    const since = await this.#db.transaction('rw', [facts, held, outbox, refused, notes], async () => {
      const cursor = await this.#cursorWithin()
      if (cursor === 0 || upTo < cursor) return null
      await ofPatients.ensureWithin(patients, stays)
      await this.#putWithin(rows)
      const generation = await ofPatients.changeWithin()
      await ofPatients.ensureWithin(whole, new Map(), generation)
      return generation
    })
    if (since === null) return null
    ofPatients.remember(whole, since)
    return readable(read)
  }

  /** Lets a patient, of whom something is held, stay for as long as a shift is. */
  async stay(patientId: string): Promise<void> {
    const ofPatients = await this.#held()
    const staysUntilMs = staysByLook(this.#nowMs())
    await ofPatients.stay(patientId, staysUntilMs)
  }

  /** Whether all that the ledger says of a patient is in this window's memory. */
  async isWhole(patientId: string): Promise<boolean> {
    return (await this.#held()).isWhole(patientId)
  }

  /**
   * What is held, for a pull to tell; and what other windows did meanwhile: whom they let go of, and what they fetched of
   * others, which is not in this window's memory. With `all`, everybody who is held whole counts as fetched by others.
   */
  async held(all = false): Promise<{
    readonly now: HeldNow
    readonly gone: readonly string[]
    readonly came: Readable
  }> {
    const ofPatients = await this.#held()
    const { now, gone, came, cameFacts } = await ofPatients.read(all)
    const entries = await Promise.all(cameFacts.map((row) => openedRow(this.#safe, row)))
    await ofPatients.nowInMemory(gone, came)
    return { now, gone, came: readable(entries) }
  }

  /** See `HeldOnDisk.noteScope`. */
  async noteScope(scope: string, patientIds: readonly string[]): Promise<string[] | null> {
    return (await this.#held()).noteScope(scope, patientIds, this.#nowMs())
  }

  /**
   * The ledger was brought back from an older copy: forgets how far it was taken over, and lets every fact of this person
   * wait again, for what they sent since may be nowhere but here. Nothing is removed. Gives the ids of what now waits.
   */
  async beginAnew(): Promise<string[]> {
    const { facts, held, outbox, refused, notes } = this.#db
    const ofPatients = await this.#held()
    const kept = await Promise.all(
      (await facts.orderBy('sequence').toArray()).map((row) => openedRow(this.#safe, row)),
    )
    const own = kept.flatMap(({ id, fact }) => (writerOf(fact) === this.#personId ? [id] : []))
    return this.#db.transaction('rw', [facts, held, outbox, refused, notes], async () => {
      const waiting = new Set((await outbox.toArray()).map(({ id }) => id))
      const refusals = new Set((await refused.toArray()).map(({ id }) => id))
      const again = own.filter((id) => !waiting.has(id) && !refusals.has(id))
      await outbox.bulkAdd(again.map((id) => ({ id })) as OutboxRow[])
      await facts.toCollection().modify({ sequence: null })
      await notes.bulkDelete(['cursor', 'mark'])
      await ofPatients.doubtAllWithin()
      return again
    })
  }

  /** What the ledger holds needs no sending, even when the answer to the sending was lost. */
  async #putWithin(rows: readonly FactRow[]): Promise<void> {
    const ids = rows.map(({ id }) => id)
    await this.#db.facts.bulkPut(rows)
    await this.#db.outbox.where('id').anyOf(ids).delete()
    await this.#db.refused.bulkDelete(ids)
  }

  async #cursorWithin(): Promise<number> {
    return Number((await this.#db.notes.get('cursor'))?.value ?? 0)
  }

  async #read(told: readonly LedgerEntryTold[]) {
    const read = told.map(({ fact, sequence, deviceAheadMs }) => entry(fact, sequence, deviceAheadMs))
    const facts = read.map(({ fact }) => fact)
    const patients = await this.#patientsOf(facts)
    const stays = staysByOwn(facts, this.#personId, this.#nowMs())
    return { read, rows: await this.#sealed(read, patients), patients, stays }
  }

  async #patientsOf(facts: readonly unknown[]): Promise<ReadonlyMap<string, HeldRow>> {
    return (await this.#held()).newRows(facts.flatMap((fact) => patientOf(fact) ?? []))
  }

  #sealed(entries: readonly Entry[], patients: ReadonlyMap<string, HeldRow>): Promise<FactRow[]> {
    return Promise.all(
      entries.map((each) =>
        sealedRow(this.#safe, each, patients.get(patientOf(each.fact) ?? '')?.name ?? ''),
      ),
    )
  }

  /** After an update of the program: each fact that it can now read, or cannot any more, is kept as it now is. */
  async #readAnew(): Promise<void> {
    const { facts, notes } = this.#db
    const before = await Promise.all((await facts.toArray()).map((row) => openedRow(this.#safe, row)))
    const after = before.map((kept) => entry(kept.fact, kept.sequence, kept.aheadMs))
    const changed = after.filter(({ readable }, index) => readable || readable !== before[index]?.readable)
    const rows = await this.#sealed(changed, await this.#patientsOf(changed.map(({ fact }) => fact)))
    await this.#db.transaction('rw', facts, notes, async () => {
      // The number may have come while the rows were sealed: of what is kept, only the reading is changed.
      for (const { id, readable, sealed } of rows) await facts.update(id, { readable, sealed })
      await notes.put({ key: 'read-by', value: READ_BY })
    })
  }

  /** An older program kept facts without saying of whom they are. */
  async #fileByPatient(): Promise<void> {
    const { facts, held } = this.#db
    const unfiled = await facts.filter((row) => row.held === undefined).toArray()
    if (unfiled.length === 0) return
    const ofPatients = await this.#held()
    const entries = await Promise.all(unfiled.map((row) => openedRow(this.#safe, row)))
    const all = entries.map(({ fact }) => fact)
    const patients = await this.#patientsOf(all)
    const stays = staysByOwn(all, this.#personId, this.#nowMs())
    await this.#db.transaction('rw', facts, held, async () => {
      await ofPatients.ensureWithin(patients, stays)
      for (const { id, fact } of entries)
        await facts.update(id, { held: patients.get(patientOf(fact) ?? '')?.name ?? '' })
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
