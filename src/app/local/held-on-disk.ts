import type { FactRow, HeldRow, KeepDatabase } from './keep-database.ts'
import type { PatientNames } from './patient-names.ts'
import type { Safe } from './safe.ts'

/** What a pull tells the server of what is held, as the disk has it at one moment. */
export type HeldNow = {
  /** Changes whenever a pull would be answered differently: an answer to an older question is not taken. */
  readonly generation: number
  /** The set that the server named last; null when none was noted. */
  readonly scope: string | null
  /** Patients held whole who are not in that set. */
  readonly beside: readonly string[]
  readonly whole: ReadonlySet<string>
  /** Up to here the windows of this browser have taken over what concerns it; 0 before they have begun. */
  readonly cursor: number
  readonly mark: string | null
}

type Known = { readonly patientId: string; readonly wholeSince: number | null }

type HeldNote = Pick<HeldNow, 'generation' | 'scope'>
const NOTE = 'held'
const NOT_NOTED: HeldNote = { generation: 0, scope: null }

/**
 * Of whom this tablet keeps something, and whether all. Several windows share the disk: each knows what it holds in memory
 * itself, and finds out what the others fetched and let go when it reads this anew. Methods called `…Within` are for use
 * in a transaction and wait for nothing but the database.
 */
export class HeldOnDisk {
  readonly #db: KeepDatabase
  readonly #safe: Safe
  readonly #names: PatientNames
  /** By name, the patient and since when all of them is in this window's memory. */
  readonly #known = new Map<string, Known>()

  constructor(db: KeepDatabase, safe: Safe, names: PatientNames) {
    this.#db = db
    this.#safe = safe
    this.#names = names
  }

  /** The row for each of these patients as it would be if there were none yet, by patient. */
  async newRows(patientIds: Iterable<string>): Promise<ReadonlyMap<string, HeldRow>> {
    const rows = new Map<string, HeldRow>()
    for (const patientId of new Set(patientIds)) {
      const name = await this.#names.of(patientId)
      const sealed = await this.#safe.seal({ patientId }, name)
      rows.set(patientId, { name, sealed, wholeSince: null, isInScope: false, staysUntilMs: 0 })
    }
    return rows
  }

  /** Puts the rows that are not there yet, and lets all of them stay as long as is said, by patient. */
  async ensureWithin(
    rows: ReadonlyMap<string, HeldRow>,
    stays: ReadonlyMap<string, number>,
    wholeSince: number | null = null,
  ): Promise<void> {
    for (const [patientId, row] of rows) {
      const known = await this.#db.held.get(row.name)
      const before = known ?? row
      const next = {
        ...before,
        wholeSince: wholeSince ?? before.wholeSince,
        staysUntilMs: Math.max(before.staysUntilMs, stays.get(patientId) ?? 0),
      }
      const isNews = next.wholeSince !== before.wholeSince || next.staysUntilMs !== before.staysUntilMs
      if (!known || isNews) await this.#db.held.put(next)
    }
  }

  /** Lets a patient stay until an instant, if there is something of them. */
  async stay(patientId: string, staysUntilMs: number): Promise<void> {
    const name = await this.#names.of(patientId)
    await this.#db.transaction('rw', this.#db.held, async () => {
      const known = await this.#db.held.get(name)
      if (known && known.staysUntilMs < staysUntilMs) await this.#db.held.update(name, { staysUntilMs })
    })
  }

  async isWhole(patientId: string): Promise<boolean> {
    return (this.#known.get(await this.#names.of(patientId))?.wholeSince ?? null) !== null
  }

  /** What was put is in this window's memory too. */
  remember(rows: ReadonlyMap<string, HeldRow>, wholeSince: number | null = null): void {
    for (const [patientId, { name }] of rows)
      this.#known.set(name, {
        patientId,
        wholeSince: wholeSince ?? this.#known.get(name)?.wholeSince ?? null,
      })
  }

  async noteWithin(): Promise<HeldNote> {
    return ((await this.#db.notes.get(NOTE))?.value as HeldNote | undefined) ?? NOT_NOTED
  }

  /** Whoever asked before will ask again. Gives the generation from now on. */
  async changeWithin(scope?: string | null): Promise<number> {
    const before = await this.noteWithin()
    const value: HeldNote = {
      generation: before.generation + 1,
      scope: scope === undefined ? before.scope : scope,
    }
    await this.#db.notes.put({ key: NOTE, value })
    return value.generation
  }

  /** Nobody is held whole any more: what is here is of another ledger. */
  async doubtAllWithin(): Promise<void> {
    await this.#db.held.toCollection().modify({ wholeSince: null, isInScope: false })
    await this.changeWithin(null)
  }

  /**
   * What is held now, and how this window's memory differs from it: who is gone from the disk, and whoever was fetched by
   * another window, with the rows of them (with `all`, whoever is held whole). To be told by `nowInMemory` once it does not
   * differ any more.
   */
  async read(all: boolean): Promise<{
    readonly now: HeldNow
    readonly gone: readonly string[]
    readonly came: readonly HeldRow[]
    readonly cameFacts: readonly FactRow[]
  }> {
    const { held, facts, notes } = this.#db
    // In one transaction: between two another window could let go of whom it had fetched.
    const found = await this.#db.transaction('r', held, facts, notes, async () => {
      const rows = await held.toArray()
      const came = rows.filter(
        ({ name, wholeSince }) =>
          wholeSince !== null && (all || this.#known.get(name)?.wholeSince !== wholeSince),
      )
      const names = came.map(({ name }) => name)
      return {
        rows,
        came,
        cameFacts: names.length === 0 ? [] : await facts.where('held').anyOf(names).toArray(),
        note: await this.noteWithin(),
        cursor: await notes.get('cursor'),
        mark: await notes.get('mark'),
      }
    })
    const { rows, came, cameFacts, note, cursor, mark } = found
    const onDisk = new Set(rows.map(({ name }) => name))
    const whole = rows.filter(({ wholeSince }) => wholeSince !== null)
    const beside = whole.filter(({ isInScope }) => !isInScope)
    return {
      now: {
        ...note,
        beside: await this.#patientsOf(beside),
        whole: new Set(await this.#patientsOf(whole)),
        cursor: Number(cursor?.value ?? 0),
        mark: typeof mark?.value === 'string' ? mark.value : null,
      },
      gone: [...this.#known].flatMap(([name, { patientId }]) => (onDisk.has(name) ? [] : [patientId])),
      came,
      cameFacts,
    }
  }

  /** Nothing of some patients is in this window's memory any more; all that some rows stand for is. */
  async nowInMemory(gone: readonly string[], came: readonly HeldRow[]): Promise<void> {
    const left = new Set(gone)
    for (const [name, { patientId }] of this.#known) if (left.has(patientId)) this.#known.delete(name)
    for (const row of came)
      this.#known.set(row.name, { patientId: await this.#patientOf(row), wholeSince: row.wholeSince })
  }

  #patientsOf(rows: readonly HeldRow[]): Promise<string[]> {
    return Promise.all(rows.map((row) => this.#patientOf(row)))
  }

  async #patientOf({ name, sealed }: HeldRow): Promise<string> {
    const known = this.#known.get(name)
    if (known) return known.patientId
    return ((await this.#safe.open(sealed, name)) as { patientId: string }).patientId
  }

  /**
   * Notes a set that the server named, and lets go of everybody else who need not stay. Gives the patients let go; null,
   * with nothing done, when somebody of the set is not held whole.
   */
  async noteScope(scope: string, patientIds: readonly string[], nowMs: number): Promise<string[] | null> {
    const names = new Set<string>()
    for (const id of patientIds) names.add(await this.#names.of(id))
    const { held, facts, outbox, refused, notes } = this.#db
    const dropped = await this.#db.transaction('rw', held, facts, outbox, refused, notes, async () => {
      const rows = await held.toArray()
      const whole = new Set(rows.flatMap(({ name, wholeSince }) => (wholeSince === null ? [] : [name])))
      if ([...names].some((name) => !whole.has(name))) return null
      const dropped: HeldRow[] = []
      for (const row of rows) {
        const isInScope = names.has(row.name)
        if (!isInScope && row.staysUntilMs <= nowMs && (await this.#letGoWithin(row))) dropped.push(row)
        else if (isInScope !== row.isInScope) await held.update(row.name, { isInScope })
      }
      await this.changeWithin(scope)
      return dropped
    })
    if (dropped === null) return null
    const ids = await this.#patientsOf(dropped)
    for (const { name } of dropped) this.#known.delete(name)
    return ids
  }

  /** Removes all of one patient, unless something of it has still to be sent or was refused. */
  async #letGoWithin({ name }: HeldRow): Promise<boolean> {
    const { held, facts, outbox, refused } = this.#db
    const ids = (await facts.where('held').equals(name).primaryKeys()) as string[]
    const unsent =
      (await outbox.where('id').anyOf(ids).count()) + (await refused.where('id').anyOf(ids).count())
    if (unsent > 0) return false
    await facts.bulkDelete(ids)
    await held.delete(name)
    return true
  }
}
