import type { OpenDatabase } from '../store/database.ts'

export type Sitting = { readonly begunAtMs: number; readonly lockedAtMs: number | null }

type Limits = { readonly idleMinutes: number; readonly longestHours: number }

/** Reading must not write each time: once a minute is enough to know when a session was last used [ms]. */
const NOTE_EVERY_MS = 60_000

/** Where sessions are at: locked or not, and when they end by themselves. */
export class Sittings {
  readonly #open: OpenDatabase
  readonly #limits: Limits
  readonly #nowMs: () => number

  constructor(open: OpenDatabase, limits: Limits, nowMs: () => number) {
    this.#open = open
    this.#limits = limits
    this.#nowMs = nowMs
  }

  get #db() {
    return this.#open.db
  }

  #now(): string {
    return new Date(this.#nowMs()).toISOString()
  }

  /**
   * Where a session is at; null when it was idle too long or lasted too long. Counts as use of it, unless it is
   * locked: what a tablet sends by itself behind a locked screen must not keep the session alive.
   */
  async at(facility: string, sessionId: string): Promise<Sitting | null> {
    const row = await this.#db
      .selectFrom('sitting')
      .selectAll()
      .where('facility', '=', facility)
      .where('session_id', '=', sessionId)
      .executeTakeFirst()
    if (!row) return null
    const idleMs = this.#nowMs() - Date.parse(row.used_at)
    const begunAtMs = Date.parse(row.begun_at)
    const lastedMs = this.#nowMs() - begunAtMs
    const { idleMinutes, longestHours } = this.#limits
    if (idleMs >= idleMinutes * 60_000 || lastedMs >= longestHours * 3_600_000) return null
    if (row.locked_at !== null) return { begunAtMs, lockedAtMs: Date.parse(row.locked_at) }
    if (idleMs > NOTE_EVERY_MS) await this.#set(sessionId, { used_at: this.#now() })
    return { begunAtMs, lockedAtMs: null }
  }

  /** Begins a sitting now, and says when that is [ms since 1970]. */
  async begin(facility: string, sessionId: string): Promise<number> {
    const now = this.#now()
    await this.#db
      .insertInto('sitting')
      .values({ facility, session_id: sessionId, locked_at: null, begun_at: now, used_at: now })
      .execute()
    return Date.parse(now)
  }

  /** Locks; a session that is locked already keeps the time at which it was locked first. */
  async lock(sessionId: string): Promise<void> {
    await this.#db
      .updateTable('sitting')
      .set({ locked_at: this.#now() })
      .where('session_id', '=', sessionId)
      .where('locked_at', 'is', null)
      .execute()
  }

  async unlock(sessionId: string): Promise<void> {
    await this.#set(sessionId, { locked_at: null, used_at: this.#now() })
  }

  async end(sessionId: string): Promise<void> {
    await this.#db.deleteFrom('sitting').where('session_id', '=', sessionId).execute()
    await this.#db.deleteFrom('session').where('id', '=', sessionId).execute()
  }

  async endAll(userId: string): Promise<void> {
    const sessions = this.#db.selectFrom('session').select('id').where('userId', '=', userId)
    await this.#db.deleteFrom('sitting').where('session_id', 'in', sessions).execute()
    await this.#db.deleteFrom('session').where('userId', '=', userId).execute()
  }

  async #set(sessionId: string, change: { locked_at?: string | null; used_at: string }): Promise<void> {
    await this.#db.updateTable('sitting').set(change).where('session_id', '=', sessionId).execute()
  }
}
