import { UploadAnswer } from '../../api/schemas.ts'
import type { AnyFact } from '../../chart/registry.ts'
import type { Api, Reply } from './api.ts'
import type { Keep } from './keep.ts'
import type { openLive } from './live.ts'
import { Puller, type PullListener, type PullWorld } from './puller.ts'
import {
  type Failure,
  NOT_STARTED,
  type SyncEffect,
  type SyncEvent,
  type SyncState,
  syncStep,
} from './sync-step.ts'

/** All that the engine needs of the world; each can be replaced in a test. */
export type SyncWorld = {
  readonly api: Api
  readonly keep: PullWorld['keep'] & Pick<Keep, 'waiting' | 'settle' | 'beginAnew'>
  readonly live: typeof openLive
  /** The name of this tablet. */
  readonly device: string
  readonly nowMs: () => number
  readonly setTimer: (run: () => void, ms: number) => unknown
  readonly clearTimer: (timer: unknown) => void
  /** 0 to 1; spreads the tries of many tablets after the server was away. */
  readonly random: () => number
}

export type SyncListener = PullListener & {
  readonly changed: (state: SyncState) => void
  readonly settled: (results: UploadAnswer['results']) => void
}

/** A try may come so much later than planned. Design rule. */
const JITTER = 0.25

/** Does what the pure step says, and tells it what came of it. */
export class SyncEngine {
  readonly #world: SyncWorld
  readonly #listener: SyncListener
  readonly #puller: Puller
  #state: SyncState = NOT_STARTED
  #timer: unknown = null
  #closeLive: (() => void) | null = null
  #stopped = false

  constructor(world: SyncWorld, listener: SyncListener) {
    this.#world = world
    this.#listener = listener
    this.#puller = new Puller(world, listener)
  }

  get state(): SyncState {
    return this.#state
  }

  get isStopped(): boolean {
    return this.#stopped
  }

  tell(event: SyncEvent): void {
    if (this.#stopped) return
    const { state, effects } = syncStep(this.#state, event, this.#world.nowMs())
    this.#state = state
    for (const effect of effects) this.#do(effect)
    this.#listener.changed(state)
  }

  stop(): void {
    this.#stopped = true
    this.#puller.stop()
    this.#world.clearTimer(this.#timer)
    this.#closeLive?.()
  }

  #do(effect: SyncEffect): void {
    switch (effect.kind) {
      case 'upload':
        void this.#upload(effect.ids)
        break
      case 'download':
        void this.#download(effect.after, effect.mark)
        break
      case 'begin anew':
        void this.#beginAnew()
        break
      case 'refuse':
        void this.#settle([{ id: effect.id, status: 'refused', problems: [effect.problem] }])
        break
      case 'open live':
        this.#openLive()
        break
      case 'close live':
        this.#closeLive?.()
        this.#closeLive = null
        break
      case 'wake':
        this.#wakeAt(effect.atMs)
        break
    }
  }

  async #upload(ids: readonly string[]): Promise<void> {
    const { api, keep, nowMs, device } = this.#world
    try {
      const facts = await keep.waiting(ids)
      // Another window of this browser may have sent them already.
      if (facts.length === 0) return this.tell({ kind: 'answered', ids })
      const waiting = Math.max(0, this.#state.waiting.length - facts.length)
      const body = { sentAt: new Date(nowMs()).toISOString(), facts, device, waiting }
      const reply = await api.post('/api/facts', body, UploadAnswer)
      if (reply.kind !== 'ok') return this.tell({ kind: 'failed', what: 'upload', how: failure(reply) })
      await this.#settle(reply.body.results)
      const present = new Set(facts.map((fact) => (fact as AnyFact).id))
      const gone = ids.filter((id) => !present.has(id))
      this.tell({ kind: 'answered', ids: [...reply.body.results.map(({ id }) => id), ...gone] })
    } catch {
      // The storage failed, not the network: what was sent stays in the queue and is sent again.
      this.tell({ kind: 'failed', what: 'upload', how: { kind: 'unreachable' } })
    }
  }

  async #settle(results: UploadAnswer['results']): Promise<void> {
    await this.#world.keep.settle(results)
    if (!this.#stopped) this.#listener.settled(results)
  }

  async #download(after: number, mark: string | null): Promise<void> {
    try {
      const pulled = await this.#puller.pull(after, mark, this.#state.waiting.length)
      if (pulled.kind === 'pulled') return this.tell({ ...pulled, kind: 'downloaded' })
      const how: Failure = pulled.kind === 'said no' ? failure(pulled.reply) : { kind: 'unreachable' }
      this.tell({ kind: 'failed', what: 'download', how })
    } catch {
      this.tell({ kind: 'failed', what: 'download', how: { kind: 'unreachable' } })
    }
  }

  /** Fetches a patient whom somebody asks for. Gives what the server said when it gave none; else null. */
  bring(patientId: string): ReturnType<Puller['bring']> {
    return this.#puller.bring(patientId, this.#state.waiting.length)
  }

  async #beginAnew(): Promise<void> {
    try {
      this.tell({ kind: 'began anew', ids: await this.#world.keep.beginAnew() })
    } catch {
      this.tell({ kind: 'failed', what: 'download', how: { kind: 'unreachable' } })
    }
  }

  #openLive(): void {
    this.#closeLive?.()
    this.#closeLive = this.#world.live({
      opened: () => this.tell({ kind: 'live opened' }),
      says: (last) => this.tell({ kind: 'live says', last }),
      lost: () => this.tell({ kind: 'live lost' }),
    })
  }

  #wakeAt(atMs: number): void {
    const { nowMs, setTimer, clearTimer, random } = this.#world
    clearTimer(this.#timer)
    const wait = Math.max(0, atMs - nowMs())
    this.#timer = setTimer(() => this.tell({ kind: 'time' }), wait * (1 + random() * JITTER))
  }
}

/** What a reply that was not `ok` means for the queue. Status codes as in RFC 9110 and RFC 4918 (423). */
export function failure(reply: Exclude<Reply<unknown>, { kind: 'ok' }>): Failure {
  if (reply.kind === 'unreachable') return { kind: 'unreachable', retryAfterMs: reply.retryAfterMs }
  const { status, error, retryAfterMs } = reply
  if (status === 401) return { kind: 'signed out' }
  if (status === 423) return { kind: 'locked' }
  if (status === 409 && error.code === 'another-line') return { kind: 'another line' }
  if (status === 400 || status === 413 || status === 422) {
    return { kind: 'unusable', problem: { where: error.fields?.[0]?.where ?? '', what: error.what } }
  }
  return { kind: 'unreachable', retryAfterMs }
}
