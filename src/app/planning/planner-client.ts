import type { AnyFact } from '../../chart/registry.ts'
import { NOTHING_TOLD } from '../local/learned-keeper.ts'
import { isBringing, type LocalStore } from '../local/local-store.ts'
import type { Answer, Ask, FromPlanner, Issue, ToPlanner, Trial } from './messages.ts'
import type { PlanPicture } from './plan-picture.ts'

/** What screens see of the planner. A new object whenever something changed. */
export type Planned = {
  readonly picture: PlanPicture | null
  readonly issue: Issue | null
  readonly offer: Trial | null
  /** Share of the search done, 0 to 1; null while nothing is searched. */
  readonly share: number | null
  /** Why there is no plan, and what to do. */
  readonly trouble: { readonly what: string; readonly todo: string } | null
}

type Asked = {
  readonly resolve: (answer: Answer<Ask['what']>) => void
  readonly onShare: (share: number) => void
}

/** Facts sent to the worker at a time: few enough that copying them never holds the screen up. */
const BATCH = 120

const NOTHING: Planned = { picture: null, issue: null, offer: null, share: null, trouble: null }

/** The planner's thread as the screen holds it: feeds it facts and the time, keeps what it last said, asks it things. */
export class PlannerClient {
  readonly #store: LocalStore
  readonly #worker: Worker
  readonly #listeners = new Set<() => void>()
  readonly #asked = new Map<number, Asked>()
  #planned: Planned = NOTHING
  /** What the worker holds: so many of the chart's facts, from the first on. */
  readonly #sent = new Set<string>()
  /** The revision of the chart that the screen's clock was last told for. */
  #heard = -1
  #past = NOTHING_TOLD
  #feeding = false
  /** Whether the worker was told all that there was once, be it nothing. */
  #isFed = false
  #question = 0

  constructor(store: LocalStore, nowMs: () => number) {
    this.#store = store
    this.#worker = new Worker(new URL('./planner.worker.ts', import.meta.url), { type: 'module' })
    this.#worker.onmessage = ({ data }: MessageEvent<FromPlanner>) => this.#hear(data)
    this.#worker.onerror = () =>
      this.#set({
        trouble: {
          what: 'The planner stopped.',
          todo: 'The due list is complete and can be worked from. Close Mistwright and open it again.',
        },
        share: null,
      })
    const tell = () => this.#tell({ kind: 'now', now: new Date(nowMs()).toISOString() })
    store.subscribe(() => {
      // What happened this moment is not to wait for the next stroke of the clock.
      if (store.chart.revision !== this.#heard) tell()
      this.#heard = store.chart.revision
      this.#tellPast()
      this.#feed()
    })
    store.whenForgotten((patientIds, gone) => {
      for (const { id } of gone) this.#sent.delete(id)
      this.#tell({ kind: 'forget', patientIds })
    })
    this.#tellPast()
    this.#feed()
    tell()
    const timer = setInterval(tell, 30_000)
    // After signing out nothing of a patient stays in the worker's memory.
    store.whenClosed(() => {
      clearInterval(timer)
      this.#worker.terminate()
    })
  }

  /** While nobody looks at the plan it is kept true, but not searched on: the tablet's strength belongs to the visit. */
  readonly subscribe = (listener: () => void): (() => void) => {
    this.#listeners.add(listener)
    if (this.#listeners.size === 1) this.search(true)
    return () => {
      this.#listeners.delete(listener)
      if (this.#listeners.size === 0) this.search(false)
    }
  }

  readonly planned = (): Planned => this.#planned

  /** Ends the search with the best plan so far, or begins it again. */
  search(wanted: boolean): void {
    this.#tell({ kind: 'search', wanted })
  }

  /** Asks something; resolves with the answer, or with why there is none. */
  ask<Question extends Ask>(ask: Question): Promise<Answer<Question['what']>> {
    return this.work(ask, () => {}).answer
  }

  /** Asks something that may take seconds: tells how far it has come, and can be stopped. */
  work<Question extends Ask>(
    ask: Question,
    onShare: (share: number) => void,
  ): { readonly answer: Promise<Answer<Question['what']>>; readonly stop: () => void } {
    this.#question += 1
    const id = this.#question
    const answer = new Promise<Answer<Question['what']>>((resolve) => {
      this.#asked.set(id, { resolve: resolve as Asked['resolve'], onShare })
      this.#tell({ kind: 'ask', id, ask })
    })
    return { answer, stop: () => this.#tell({ kind: 'stop', id }) }
  }

  #tell(message: ToPlanner): void {
    this.#worker.postMessage(message)
  }

  #tellPast(): void {
    const told = this.#store.told()
    if (told === this.#past) return
    this.#past = told
    this.#tell({ kind: 'past', stays: told.stays })
  }

  /**
   * Sends what the worker does not know yet, a batch at a time, with the screen's own work in between. While the patients
   * of the shift are being fetched there is nothing to plan; a tablet without a line plans for those that it has.
   */
  #feed(): void {
    const { chart } = this.#store
    const { lacking, line } = this.#store.sending()
    const isComing = lacking !== 0 && isBringing(line)
    if (this.#feeding || isComing || (this.#isFed && chart.size === this.#sent.size)) return
    this.#feeding = true
    const waiting = this.#unsent()
    const next = () => {
      const facts: AnyFact[] = []
      while (facts.length < BATCH) {
        const { value, done } = waiting.next()
        if (done) break
        facts.push(value)
      }
      for (const { id } of facts) this.#sent.add(id)
      const more = this.#sent.size < chart.size
      this.#tell({ kind: 'facts', facts, more })
      if (facts.length === BATCH && more) return void setTimeout(next, 0)
      this.#feeding = false
      this.#isFed = true
      if (more) this.#feed()
    }
    next()
  }

  /** The facts after those that were sent. It goes on with facts that come, and over what goes, while it is read. */
  #unsent(): Iterator<AnyFact, undefined> {
    const all = this.#store.chart.facts()[Symbol.iterator]() as Iterator<AnyFact, undefined>
    for (let i = 0; i < this.#sent.size; i += 1) all.next()
    return all
  }

  #hear(message: FromPlanner): void {
    switch (message.kind) {
      case 'plan': {
        const { picture, issue, offer } = message
        this.#set({
          picture: settledPicture(this.#planned.picture, picture),
          issue,
          offer,
          trouble: null,
        })
        return
      }
      case 'search':
        this.#set({ share: message.share })
        return
      case 'no plan':
        this.#set({ ...NOTHING, trouble: { what: message.what, todo: message.todo } })
        return
      case 'working':
        this.#asked.get(message.id)?.onShare(message.share)
        return
      case 'answer': {
        const asked = this.#asked.get(message.id)
        this.#asked.delete(message.id)
        asked?.resolve(message.answer)
      }
    }
  }

  #set(part: Partial<Planned>): void {
    this.#planned = { ...this.#planned, ...part }
    for (const listener of this.#listeners) listener()
  }
}

/** The new picture with every stop that did not change as the same object, so that its row is not drawn again. */
export function settledPicture(before: PlanPicture | null, next: PlanPicture): PlanPicture {
  if (before === null) return next
  const rounds = next.rounds.map((round) => {
    const old = before.rounds.find(({ personId }) => personId === round.personId)
    return old ? { ...round, stops: settled(old.stops, round.stops) } : round
  })
  const columns = next.columns.map((column) => {
    const old = before.columns.find(({ id }) => id === column.id)
    if (!old) return column
    return same(old, column) ? old : { ...column, stops: settled(old.stops, column.stops) }
  })
  return { ...next, rounds, columns }
}

function settled<Item extends { readonly id: string }>(
  before: readonly Item[],
  next: readonly Item[],
): Item[] {
  const known = new Map(before.map((item) => [item.id, item]))
  return next.map((item) => {
    const old = known.get(item.id)
    return old && same(old, item) ? old : item
  })
}

const same = (a: unknown, b: unknown): boolean => JSON.stringify(a) === JSON.stringify(b)
