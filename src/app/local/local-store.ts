import { Chart } from '../../chart/folds/chart.ts'
import { type AnyFact, readFact } from '../../chart/registry.ts'
import type { Api } from './api.ts'
import { deviceId, newId } from './device.ts'
import type { Keep, Refused } from './keep.ts'
import { LearnedKeeper, type PastVisitsTold } from './learned-keeper.ts'
import { openLive } from './live.ts'
import { LookTeller } from './look-teller.ts'
import { SyncEngine } from './sync-engine.ts'
import type { SyncState } from './sync-step.ts'

/** What still has to go out, and how the line to the server stands. A new object whenever something changed. */
export type Sending = {
  /** Facts written here that the server has not answered for. */
  readonly waiting: number
  readonly refused: readonly Refused[]
  /** Entries that only a newer version of the program can read; kept as they came. */
  readonly unreadable: number
  readonly line: 'live' | 'polling' | 'away' | 'locked' | 'signed out' | 'starting'
  readonly heardAtMs: number | null
  /** How many entries of the ledger have still to be gone through, as far as is known. */
  readonly behind: number
  /** How many patients of the shift are still to be fetched; null while the server has not said who they are. */
  readonly lacking: number | null
  /** How many entries were sent again since the record was found brought back from an older copy; null when never. */
  readonly sentAgain: number | null
}

/** Hears of patients whom this tablet let go of, and the facts that went with them. */
type Forgetter = (patientIds: readonly string[], gone: readonly AnyFact[]) => void

/** Thrown when a fact could not be kept: what happened, and what to do. */
export class NotKept extends Error {
  override readonly name = 'NotKept'
  readonly what: string
  readonly todo: string
  constructor(what: string, todo: string) {
    super(what)
    this.what = what
    this.todo = todo
  }
}

/** The tablet's own record: facts on its disk, the chart folded from them, and the engine that sends and takes. */
export class LocalStore {
  readonly chart = new Chart()
  readonly #keep: Keep
  readonly #engine: SyncEngine
  readonly #listeners = new Set<() => void>()
  readonly #refused = new Map<string, Refused>()
  readonly #elsewhere: BroadcastChannel
  readonly #closers: (() => void)[] = []
  readonly #forgetters: Forgetter[] = []
  readonly #looks: LookTeller
  readonly #learned: LearnedKeeper
  #heardAtMs: number | null = null
  #unreadable = 0
  #lacking: number | null = null
  #sending: Sending

  private constructor(keep: Keep, api: Api, channel: string) {
    this.#keep = keep
    this.#elsewhere = new BroadcastChannel(channel)
    this.#looks = new LookTeller({ api, keep, device: deviceId(), newId, nowMs: () => Date.now() })
    this.#learned = new LearnedKeeper({ api, keep, nowMs: () => Date.now(), changed: () => this.#changed() })
    this.#engine = new SyncEngine(
      {
        api,
        keep,
        live: openLive,
        device: deviceId(),
        nowMs: () => Date.now(),
        setTimer: (run, ms) => setTimeout(run, ms),
        clearTimer: (timer) => clearTimeout(timer as ReturnType<typeof setTimeout>),
        random: Math.random,
      },
      {
        changed: () => this.#changed(),
        taken: (facts, aheadMs, unreadable) => {
          this.chart.add(facts, aheadMs)
          for (const { id } of facts) this.#refused.delete(id)
          this.#unreadable += unreadable
        },
        forgotten: (patientIds) => {
          const gone = this.chart.forget(patientIds)
          for (const act of this.#forgetters) act(patientIds, gone)
        },
        lacking: (patients) => {
          if (patients === this.#lacking) return
          this.#lacking = patients
          this.#changed()
        },
        settled: (results) => {
          for (const result of results) if (result.status === 'refused') this.#refused.set(result.id, result)
        },
      },
    )
    this.#sending = this.#snapshot()
  }

  /** Opens what is kept for a person, folds it, and begins to send and to take. */
  static async open(keep: Keep, api: Api, channel: string): Promise<LocalStore> {
    keep.beginNewLog()
    const store = new LocalStore(keep, api, channel)
    const kept = await keep.load()
    await store.#learned.load()
    store.chart.add(kept.facts, kept.aheadMs)
    for (const each of kept.refused) store.#refused.set(each.id, each)
    store.#unreadable = kept.unreadable
    if (kept.isScoped) store.#lacking = 0
    store.#elsewhere.onmessage = ({ data }) => store.#heard(data)
    store.#engine.tell({ kind: 'started', cursor: kept.cursor, mark: kept.mark, waiting: kept.waiting })
    return store
  }

  /**
   * Keeps facts on this tablet and puts them in the queue. Resolves once they are on the disk; only then may a
   * screen say that something was charted.
   * @throws NotKept when a fact is not valid, or the disk would not take it: then nothing of it was kept
   */
  async record(facts: readonly AnyFact[]): Promise<void> {
    if (facts.length === 0) return
    for (const fact of facts) requireValid(fact)
    try {
      await this.#keep.write(facts)
    } catch (error) {
      throw new NotKept(
        `This tablet could not keep the entry (${error instanceof Error ? error.message : String(error)}).`,
        'Write it down, free some space on the tablet, and enter it again. What was kept before is safe.',
      )
    }
    this.chart.add(facts)
    this.#elsewhere.postMessage(facts)
    this.#engine.tell({ kind: 'recorded', ids: facts.map(({ id }) => id) })
  }

  /** Sends what the server refused once more: after an update, or once what it asked for is there. */
  async retryRefused(): Promise<void> {
    const ids = await this.#keep.retryRefused()
    this.#refused.clear()
    this.#engine.tell({ kind: 'recorded', ids })
  }

  /** A patient's record was opened: the access log is told, now or once there is a network. */
  async looked(patientId: string, where: 'patient' | 'visit'): Promise<void> {
    await this.#looks.looked(patientId, where)
    // Who is being looked at is not let go under one's eyes.
    await this.#keep.stay(patientId)
  }

  /** Whether all of a patient's record is on this tablet. */
  isWhole(patientId: string): Promise<boolean> {
    return this.#keep.isWhole(patientId)
  }

  /** Fetches all of a patient's record, who stays for as long as a shift is. Gives why not, or null. */
  async bring(patientId: string): ReturnType<SyncEngine['bring']> {
    const no = await this.#engine.bring(patientId)
    if (no !== null) return no
    await this.#keep.stay(patientId)
    this.#changed()
    return null
  }

  /** The tablet woke, or the network is back. */
  wake(): void {
    this.#engine.tell({ kind: 'woke' })
  }

  /** The server lets this session in again. */
  letIn(): void {
    this.#engine.tell({ kind: 'let in' })
  }

  readonly subscribe = (listener: () => void): (() => void) => {
    this.#listeners.add(listener)
    return () => this.#listeners.delete(listener)
  }

  /** Changes with every fact, and with every word on the clock of a device. */
  readonly revision = (): number => this.chart.revision + this.chart.clocksLearned

  readonly sending = (): Sending => this.#sending

  /** What the server told of past visits. A new object whenever something else is told. */
  readonly told = (): PastVisitsTold => this.#learned.told

  /** Calls whenever patients were let go of: whoever holds their facts lets go of them too. */
  whenForgotten(act: Forgetter): void {
    this.#forgetters.push(act)
  }

  /** Calls when this record is closed: whoever holds its facts must let them go then. */
  whenClosed(act: () => void): void {
    this.#closers.push(act)
  }

  close(): void {
    for (const act of this.#closers) act()
    this.#engine.stop()
    this.#elsewhere.close()
    this.#keep.close()
  }

  /** Another window of this browser wrote facts; they are on the same disk already. */
  #heard(data: unknown): void {
    if (!Array.isArray(data)) return
    const facts = data.flatMap((each) => {
      const read = readFact(each)
      return read.ok ? [read.fact] : []
    })
    this.chart.add(facts)
    this.#keep.heard(facts).catch(() => undefined)
    // Both windows send, since either may be closed; the ledger takes each fact once.
    this.#engine.tell({ kind: 'recorded', ids: facts.map(({ id }) => id) })
  }

  #changed(): void {
    const { heardAtMs } = this.#engine.state
    if (heardAtMs !== this.#heardAtMs) {
      void this.#looks.tell()
      void this.#learned.ask()
    }
    this.#heardAtMs = heardAtMs
    this.#sending = this.#snapshot()
    for (const listener of this.#listeners) listener()
  }

  #snapshot(): Sending {
    const { state } = this.#engine
    return {
      waiting: state.waiting.length,
      refused: [...this.#refused.values()],
      unreadable: this.#unreadable,
      line: lineOf(state),
      heardAtMs: state.heardAtMs,
      behind: Math.max(0, state.ledgerLast - state.cursor),
      lacking: this.#lacking,
      sentAgain: state.sentAgain,
    }
  }
}

/** Whether the line to the server brings, or is about to bring, what is still to come. */
export function isBringing(line: Sending['line']): boolean {
  return line === 'starting' || line === 'live' || line === 'polling'
}

function lineOf(state: SyncState): Sending['line'] {
  if (state.door !== 'open') return state.door
  if (state.failures > 0) return 'away'
  if (state.live === 'open') return 'live'
  return state.heardAtMs === null ? 'starting' : 'polling'
}

function requireValid(fact: AnyFact): void {
  const read = readFact(fact)
  if (read.ok) return
  const [first] = read.problems
  throw new NotKept(
    `The entry is not complete: ${first?.where ?? ''} ${first?.what ?? ''}`.trim(),
    'Nothing was charted. Go back to the field that is named and enter it again.',
  )
}
