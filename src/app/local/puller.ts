import { type Pull, PullAnswer, type PullPatients, PullPatientsAnswer } from '../../api/pull.ts'
import type { AnyFact } from '../../chart/registry.ts'
import type { Api, Reply } from './api.ts'
import type { Keep } from './keep.ts'
import type { Readable } from './kept-entry.ts'

/** What a pull needs of the world; each can be replaced in a test. */
export type PullWorld = {
  readonly api: Pick<Api, 'post'>
  readonly keep: Pick<Keep, 'held' | 'take' | 'hold' | 'noteScope'>
  readonly device: string
}

/** What a pull brings into the memory of this window, as it comes. */
export type PullListener = {
  readonly taken: (
    facts: readonly AnyFact[],
    aheadMs: ReadonlyMap<string, number>,
    unreadable: number,
  ) => void
  readonly forgotten: (patientIds: readonly string[]) => void
  /** How many patients of the set are still to be fetched. */
  readonly lacking: (patients: number) => void
}

/** An answer that was none. */
type No = Exclude<Reply<unknown>, { kind: 'ok' }>

/** How far a pull came. */
export type Pulled =
  | {
      readonly kind: 'pulled'
      readonly cursor: number
      readonly mark: string | null
      readonly last: number
      readonly more: boolean
      /** It was begun from nothing, since another window found the ledger brought back: the cursor may be further back. */
      readonly isAnew: boolean
    }
  | { readonly kind: 'said no'; readonly reply: No }
  /** Each answer was out of date when it came: to be tried again later. */
  | { readonly kind: 'overtaken' }

/** Patients fetched at a time: few, so that one answer is not large and a line that breaks costs little. */
const PATIENTS_AT_ONCE = 10
/** Questions that one pull asks at most before it leaves the rest to the next. */
const MOST_TURNS = 40
/** So often some patients are asked for again at once because what came was overtaken. */
const FETCH_TRIES = 3

type Asked = Pick<Pull, 'after' | 'mark' | 'from'>

/**
 * Takes over what concerns the shift: the protocol of `api/pull.ts` from the tablet's side. Whatever it is told goes to
 * the disk first, in steps that each leave a whole: it may end anywhere and be begun again.
 */
export class Puller {
  readonly #world: PullWorld
  readonly #listener: PullListener
  #isStopped = false

  constructor(world: PullWorld, listener: PullListener) {
    this.#world = world
    this.#listener = listener
  }

  /** Nothing more is told to the listener. */
  stop(): void {
    this.#isStopped = true
  }

  /** Takes over what came after an entry. `waiting`: how many facts wait here, for the server to know. */
  async pull(after: number, mark: string | null, waiting: number): Promise<Pulled> {
    const { api, keep, device } = this.#world
    let asked: Asked = { after, mark, from: 0 }
    let isAnew = false
    for (let turn = 0; turn < MOST_TURNS && !this.#isStopped; turn += 1) {
      const held = await this.#held(asked.after === 0)
      // Another window found that the ledger was brought back from an older copy, and has begun anew.
      if (held.cursor < asked.after) {
        asked = { after: 0, mark: null, from: 0 }
        isAnew = true
      }
      const { generation, scope, beside } = held
      const body = { device, waiting, ...asked, scope, beside: [...beside] } satisfies Pull
      const reply = await api.post('/api/pull', body, PullAnswer)
      if (reply.kind !== 'ok') return { kind: 'said no', reply }
      const answer = reply.body
      if (answer.kind === 'scope') {
        const no = await this.#hold(answer.scope, answer.patients, held.whole, waiting)
        if (no !== null) return { kind: 'said no', reply: no }
        continue
      }
      const { entries, upTo: cursor, mark, last, more } = answer
      // Another window began before: this one takes from the disk what that one did, and goes on from there.
      const begins = asked.after === 0
      const isBeside = begins && held.cursor > 0
      const taken = await keep.take(entries, { generation, cursor: isBeside ? 0 : cursor, mark })
      if (taken === null) continue
      this.#take(taken)
      if (!begins || (cursor === 0 && !more)) {
        // Also when another window fetched everybody, or there is nothing at all yet.
        if (!this.#isStopped) this.#listener.lacking(0)
        return { kind: 'pulled', cursor, mark, last, more, isAnew }
      }
      if (more) asked = { after: 0, from: entries.at(-1)?.sequence ?? asked.from, mark }
      else asked = { after: isBeside ? held.cursor : cursor, mark: isBeside ? held.mark : mark, from: 0 }
    }
    return { kind: 'overtaken' }
  }

  /** Fetches a patient whatever the set, for somebody who asks. Gives what the server said when it gave none; else null. */
  bring(patientId: string, waiting: number): Promise<No | null> {
    return this.#fetch([patientId], waiting, (entries) => (entries.length > 0 ? [patientId] : []))
  }

  async #fetch(
    ids: readonly string[],
    waiting: number,
    held: (entries: PullPatientsAnswer['entries']) => readonly string[] = () => ids,
  ): Promise<No | null> {
    const { api, keep, device } = this.#world
    for (let turn = 0; turn < FETCH_TRIES && !this.#isStopped; turn += 1) {
      const body = { device, waiting, ids: [...ids] } satisfies PullPatients
      const reply = await api.post('/api/pull/patients', body, PullPatientsAnswer)
      if (reply.kind !== 'ok') return reply
      const { entries, upTo } = reply.body
      const taken = await keep.hold(held(entries), entries, upTo)
      // Another window, or a pull, has come further meanwhile: what is answered now reaches as far.
      if (taken === null) continue
      this.#take(taken)
      return null
    }
    return (await this.#anotherLine(waiting)) ?? { kind: 'unreachable', why: 'each answer was overtaken' }
  }

  /** Is the ledger that answers another than the one that the windows of this browser count in? Then its answer to that. */
  async #anotherLine(waiting: number): Promise<No | null> {
    const { api, device } = this.#world
    const { cursor: after, mark } = await this.#held()
    const body = { device, waiting, after, mark, from: 0, scope: null, beside: [] } satisfies Pull
    const reply = await api.post('/api/pull', body, PullAnswer)
    return reply.kind === 'ok' ? null : reply
  }

  async #hold(
    scope: string,
    patients: readonly string[],
    whole: ReadonlySet<string>,
    waiting: number,
  ): Promise<No | null> {
    const missing = patients.filter((id) => !whole.has(id))
    for (let at = 0; at < missing.length && !this.#isStopped; at += PATIENTS_AT_ONCE) {
      this.#listener.lacking(missing.length - at)
      const no = await this.#fetch(missing.slice(at, at + PATIENTS_AT_ONCE), waiting)
      if (no !== null) return no
    }
    const dropped = await this.#world.keep.noteScope(scope, patients)
    if (dropped === null || this.#isStopped) return null
    this.#listener.forgotten(dropped)
    this.#listener.lacking(0)
    return null
  }

  /** What is held, after this window's memory was brought up to what others did; all of it, where that is asked for. */
  async #held(all = false) {
    const { now, gone, came } = await this.#world.keep.held(all)
    if (!this.#isStopped && gone.length > 0) this.#listener.forgotten(gone)
    if (came.facts.length > 0) this.#take({ ...came, unreadable: 0 })
    return now
  }

  #take({ facts, aheadMs, unreadable }: Readable): void {
    if (!this.#isStopped) this.#listener.taken(facts, aheadMs, unreadable)
  }
}
