import { readRuns, readStays } from '../../api/past-told.ts'
import { Learned } from '../../api/schemas.ts'
import type { PastRun } from '../../chart/folds/charted-runs.ts'
import type { PastStay } from '../../shift/index.ts'
import type { Api } from './api.ts'
import type { Keep } from './keep.ts'

/** What is needed of the world; each can be replaced in a test. */
export type LearnedWorld = {
  readonly api: Pick<Api, 'get'>
  readonly keep: Pick<Keep, 'note' | 'setNote'>
  readonly nowMs: () => number
  /** Something else is told than before. */
  readonly changed: () => void
}

/** What a server told of past visits. The same object until something else is told. */
export type PastVisitsTold = { readonly runs: readonly PastRun[]; readonly stays: readonly PastStay[] }

export const NOTHING_TOLD: PastVisitsTold = { runs: [], stays: [] }
const NOTE = 'learned'
/** Asked for so often [ms]. Design rule. */
const EVERY_MS = 60 * 60_000
/** Asked for again after so long while the server still counts, or was not understood [ms]. Design rule. */
const AGAIN_MS = 60_000

/**
 * What the department learned from visits that this tablet does not hold: asked for while there is a network, and kept
 * without it. It tells nothing of any patient, so it is kept as it came.
 */
export class LearnedKeeper {
  readonly #world: LearnedWorld
  #told = NOTHING_TOLD
  #askedMs: number | null = null
  #waitMs = 0
  #busy = false

  constructor(world: LearnedWorld) {
    this.#world = world
  }

  get told(): PastVisitsTold {
    return this.#told
  }

  /** Takes up what was kept. What another version of the program kept, and this one cannot read, is asked for anew. */
  async load(): Promise<void> {
    const kept = Learned.safeParse({ past: await this.#world.keep.note(NOTE) })
    if (kept.success) this.#take(kept.data)
  }

  /** Asks, unless that was done of late. To be called whenever the server was heard of: this waits for no network. */
  async ask(): Promise<void> {
    const { api, keep, nowMs } = this.#world
    const now = nowMs()
    const isFresh = this.#askedMs !== null && Math.abs(now - this.#askedMs) < this.#waitMs
    if (this.#busy || isFresh) return
    this.#busy = true
    this.#askedMs = now
    this.#waitMs = AGAIN_MS
    try {
      const reply = await api.get('/api/learned', Learned)
      if (reply.kind !== 'ok' || reply.body.past === null) return
      this.#waitMs = EVERY_MS
      this.#take(reply.body)
      await keep.setNote(NOTE, reply.body.past)
    } catch {
      // The storage failed or was closed: what was told holds until the app is closed, and is asked for then.
    } finally {
      this.#busy = false
    }
  }

  #take({ past }: Learned): void {
    if (past === null) return
    this.#told = { runs: readRuns(past), stays: readStays(past) }
    this.#world.changed()
  }
}
