import { MOST_PATIENTS, PullAnswer, PullPatientsAnswer } from '../../src/api/pull.ts'
import { ApiError, type LedgerEntryTold } from '../../src/api/schemas.ts'

/** Sends a request and gives the body of the answer, whatever its status; null when nothing came back. */
export type Ask = (path: string, body: object) => Promise<unknown>

/** What became of one request: there is more to ask for, all is taken over, or nothing usable came back. */
export type Pulled = 'more' | 'quiet' | 'nothing'

type Entries = Extract<PullAnswer, { kind: 'entries' }>
type Told = Extract<PullAnswer, { kind: 'scope' }>

/**
 * What a tablet holds, taken over by the protocol of `src/api/pull.ts` and by nothing else. It assumes nothing: an entry
 * that it did not ask for, that comes twice with another content, or out of its place, is a fault of the server.
 */
export class PulledRecord {
  /** Patients held, each whole, by id. */
  readonly patients = new Map<string, Map<number, LedgerEntryTold>>()
  /** What is about nobody. */
  readonly nobody = new Map<number, LedgerEntryTold>()
  /** Patients who are kept although they do not concern the shift. */
  readonly kept = new Set<string>()
  readonly #ask: Ask
  readonly #device: string
  #cursor = 0
  #mark: string | null = null
  #from = 0
  #scope: { readonly hash: string; readonly ids: ReadonlySet<string> } | null = null
  #told: Told | null = null

  constructor(ask: Ask, device = 'tablet-1') {
    this.#ask = ask
    this.#device = device
  }

  /** The patients of the set that it was told. */
  get scope(): ReadonlySet<string> {
    return this.#scope?.ids ?? new Set()
  }

  get cursor(): number {
    return this.#cursor
  }

  /** All entries held, in order. */
  entries(): LedgerEntryTold[] {
    const held = [this.nobody, ...this.patients.values()].flatMap((entries) => [...entries.values()])
    return held.sort((a, b) => a.sequence - b.sequence)
  }

  /** Sends one request. @throws Error when the answer is not what was agreed on */
  async step(waiting = 0): Promise<Pulled> {
    const said = { device: this.#device, waiting }
    return this.#told ? this.#follow(this.#told, said) : this.#pull(said)
  }

  /** Asks until all is taken over, so many times at most. */
  async settle(most = 1000): Promise<void> {
    for (let turn = 0; turn < most; turn += 1) if ((await this.step()) === 'quiet') return
    throw new Error(`after ${most} requests there is still more`)
  }

  async #pull(said: object): Promise<Pulled> {
    const asked = {
      after: this.#cursor,
      mark: this.#mark,
      from: this.#from,
      scope: this.#scope?.hash ?? null,
      beside: [...this.patients.keys()].filter((id) => !this.scope.has(id)),
    }
    const answer = usable(await this.#ask('/api/pull', { ...said, ...asked }), PullAnswer)
    if (answer === null) return 'nothing'
    if (answer.kind === 'scope') {
      hold(asked.after > 0 && answer.scope !== asked.scope, 'a set was told that needed not be')
      this.#told = answer
      return 'more'
    }
    return this.#take(answer)
  }

  #take({ entries, upTo, mark, more }: Entries): Pulled {
    const begins = this.#cursor === 0
    let last = begins ? this.#from : this.#cursor
    for (const entry of entries) {
      hold(entry.sequence > last, `entry ${entry.sequence} came after ${last}`)
      last = entry.sequence
      const { patientId } = entry.fact.about
      const held = patientId === undefined ? this.nobody : this.patients.get(patientId)
      hold(held !== undefined, `entry ${last} is about ${patientId}, who is not held`)
      put(held, entry)
    }
    const isEmpty = begins && upTo === 0 && !more
    hold(!isEmpty || entries.length === 0, 'of an empty ledger something came')
    hold(begins ? (upTo === 0) === (more || isEmpty) : upTo >= last, `nothing is missing up to ${upTo}?`)
    hold((mark === null) === isEmpty, `the mark of ${upTo === 0 ? last : upTo} is ${mark}`)
    hold(!more || last > this.#from || upTo > this.#cursor, 'there is more, and it got no further')
    this.#from = upTo === 0 ? last : 0
    this.#cursor = upTo
    this.#mark = mark
    return more || (begins && !isEmpty) ? 'more' : 'quiet'
  }

  /** Fetches whom it lacks of a set that it was told, then lets go of whom it need not hold, and notes the set. */
  async #follow(told: Told, said: object): Promise<Pulled> {
    const ids = new Set(told.patients)
    const lacking = told.patients.filter((id) => !this.patients.has(id)).slice(0, MOST_PATIENTS)
    if (lacking.length > 0) {
      const body = await this.#ask('/api/pull/patients', { ...said, ids: lacking })
      const answer = usable(body, PullPatientsAnswer)
      if (answer === null) return 'nothing'
      this.#takeWhole(lacking, answer)
      return 'more'
    }
    for (const id of this.patients.keys()) if (!ids.has(id) && !this.kept.has(id)) this.patients.delete(id)
    this.#scope = { hash: told.scope, ids }
    this.#told = null
    return 'more'
  }

  #takeWhole(ids: readonly string[], { entries, upTo }: PullPatientsAnswer): void {
    hold(upTo >= this.#cursor, `patients are whole up to ${upTo}, before ${this.#cursor}`)
    for (const id of ids) this.patients.set(id, new Map())
    const messages = entries.flatMap(({ fact: { kind, about } }) =>
      kind === 'message-composed' ? (about.messageId ?? []) : [],
    )
    for (const entry of entries) {
      const { kind, about } = entry.fact
      if (about.patientId === undefined) {
        const isAnswer = kind === 'message-answered' && messages.includes(about.messageId ?? '')
        hold(isAnswer, `${kind} is about nobody whom it asked for`)
        put(this.nobody, entry)
      } else {
        hold(ids.includes(about.patientId), `${about.patientId} was not asked for`)
        put(this.patients.get(about.patientId), entry)
      }
    }
  }
}

function put(into: Map<number, LedgerEntryTold> | undefined, entry: LedgerEntryTold): void {
  const before = into?.get(entry.sequence)
  hold(before === undefined || before.fact.id === entry.fact.id, `entry ${entry.sequence} has become another`)
  into?.set(entry.sequence, entry)
}

function usable<Answer>(
  body: unknown,
  schema: { readonly parse: (given: unknown) => Answer },
): Answer | null {
  const refused = ApiError.safeParse(body)
  if (refused.data?.error.code === 'another-line')
    throw new Error('what was taken over before is not in the ledger any more')
  return body === null || refused.success ? null : schema.parse(body)
}

function hold(fits: boolean, otherwise: string): asserts fits {
  if (!fits) throw new Error(otherwise)
}
