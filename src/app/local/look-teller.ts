import { z } from 'zod'
import type { Look } from '../../api/schemas.ts'
import type { Api } from './api.ts'
import type { Keep } from './keep.ts'

/** What is needed of the world; each can be replaced in a test. */
export type LookWorld = {
  readonly api: Pick<Api, 'post'>
  readonly keep: Pick<Keep, 'addLook' | 'looks' | 'dropLooks'>
  readonly device: string
  readonly newId: () => string
  readonly nowMs: () => number
}

/** So many are told at a time; the server takes no more. */
const MOST = 200
/** The same record opened again within this time is one look [ms]: leaving a visit and coming back. Design rule. */
const SAME_LOOK_MS = 5 * 60_000
/** Between two tries when the server would not take them, or the storage failed [ms]. Design rule. */
const RETRY_MS = 15_000

/** Tells the access log which patients' records were opened on this tablet; without a network, later. */
export class LookTeller {
  readonly #world: LookWorld
  readonly #last = new Map<string, number>()
  #busy = false
  #waits = true
  #notBeforeMs = 0

  constructor(world: LookWorld) {
    this.#world = world
  }

  /** A patient's record was opened. Resolves once that is on the tablet's disk. */
  async looked(patientId: string, where: Look['where']): Promise<void> {
    const { keep, newId, nowMs } = this.#world
    const now = nowMs()
    const key = `${where} ${patientId}`
    const before = this.#last.get(key)
    if (before !== undefined && Math.abs(now - before) < SAME_LOOK_MS) return
    this.#last.set(key, now)
    await keep.addLook({ id: newId(), at: new Date(now).toISOString(), patientId, where })
    this.#waits = true
    await this.tell()
  }

  /** Tells what waits, if anything does. To be asked whenever the server was heard of: this waits for no network. */
  async tell(): Promise<void> {
    const { api, keep, device, nowMs } = this.#world
    if (this.#busy || !this.#waits || nowMs() < this.#notBeforeMs) return
    this.#busy = true
    try {
      for (let looks = await keep.looks(MOST); looks.length > 0; looks = await keep.looks(MOST)) {
        const sentAt = new Date(nowMs()).toISOString()
        const reply = await api.post('/api/looks', { sentAt, device, looks }, z.unknown())
        if (reply.kind !== 'ok') {
          if (reply.kind === 'said no') this.#notBeforeMs = nowMs() + RETRY_MS
          return
        }
        await keep.dropLooks(looks.map(({ id }) => id))
      }
      this.#waits = false
    } catch {
      // The storage failed or was closed: what waits stays, and is told at the next opening.
      this.#notBeforeMs = nowMs() + RETRY_MS
    } finally {
      this.#busy = false
    }
  }
}
