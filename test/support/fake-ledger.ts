import { createHash } from 'node:crypto'
import type { Pull, PullAnswer, PullPatients, PullPatientsAnswer } from '../../src/api/pull.ts'
import type { LedgerEntryTold, Upload, UploadAnswer } from '../../src/api/schemas.ts'
import type { Api, Reply } from '../../src/app/local/api.ts'
import type { FactEnvelope } from '../../src/chart/fact.ts'

const PAGE = 3
const RECEIVED_AT = '2027-01-15T08:00:00.000Z'

/**
 * A ledger in memory with the promises of the real one, for tests of the tablet: what it tells is as `api/pull.ts` says,
 * and whom the shift concerns is as the test says.
 */
export class FakeLedger {
  readonly entries: LedgerEntryTold[] = []
  readonly scope = new Set<string>()
  readonly refuses = new Set<string>()
  /** Called as each question comes; what it does has happened before the answer is worked out. */
  onQuestion: (path: string) => void = () => {}
  /** Called before each answer goes out; may throw away the answer after the work was done. */
  onAnswer: (path: string) => 'send' | 'lose' = () => 'send'
  readonly #marks: string[] = []
  /** Which life of the ledger this is: a return to an older copy begins another. */
  #life = 0

  /** The server as a tablet asks it. */
  api(): Api {
    return {
      get: async () => ({ kind: 'unreachable', why: 'nothing is asked for by GET' }),
      post: async <T>(path: string, body: unknown): Promise<Reply<T>> => {
        this.onQuestion(path)
        const answer = this.#answerTo(path, body)
        if (this.onAnswer(path) === 'lose') return { kind: 'unreachable', why: 'lost on the way' }
        if (answer === ANOTHER_LINE) return ANOTHER_LINE
        return { kind: 'ok', body: structuredClone(answer) as T }
      },
    }
  }

  store(fact: FactEnvelope): UploadAnswer['results'][number] {
    const { id } = fact
    if (this.refuses.has(id))
      return { id, status: 'refused', problems: [{ where: 'body', what: 'not taken' }] }
    const known = this.entries.find((entry) => entry.fact.id === id)
    if (known) return { id, status: 'known', sequence: known.sequence }
    const sequence = this.entries.length + 1
    this.entries.push({ sequence, receivedAt: RECEIVED_AT, deviceAheadMs: null, fact })
    this.#marks.push(createHash('sha256').update(`${this.#life}.${sequence}`).digest('hex'))
    return { id, status: 'stored', sequence }
  }

  /** Goes back to an older copy of itself. */
  bringBack(length: number): void {
    this.entries.length = length
    this.#marks.length = length
    this.#life += 1
  }

  /** What a tablet of this shift must hold: what is about nobody, and about the patients of the set. */
  concerning(): string[] {
    return this.entries.filter((entry) => this.#concerns(entry, [])).map(({ fact }) => fact.id)
  }

  #answerTo(path: string, body: unknown): object {
    switch (path) {
      case '/api/facts': {
        const results = (body as Upload).facts.map((fact) => this.store(fact))
        return { serverNow: RECEIVED_AT, results } satisfies UploadAnswer
      }
      case '/api/pull':
        return this.#pull(body as Pull)
      case '/api/pull/patients': {
        const { ids } = body as PullPatients
        const entries = this.entries.filter(({ fact }) => ids.includes(fact.about.patientId ?? ''))
        return { entries, upTo: this.entries.length } satisfies PullPatientsAnswer
      }
      default:
        throw new Error(`the tablet asked for ${path}`)
    }
  }

  #pull({ after, mark, from, scope, beside }: Pull): PullAnswer | typeof ANOTHER_LINE {
    const last = this.entries.length
    const taken = after > 0 ? after : from
    if (taken > 0 && (mark === null || this.#mark(taken) !== mark)) return ANOTHER_LINE
    if (after === 0) {
      const all = this.entries.filter(({ sequence, fact }) => sequence > from && !fact.about.patientId)
      const entries = all.slice(0, PAGE)
      const more = all.length > PAGE
      const mark = this.#mark(more ? (entries.at(-1)?.sequence ?? 0) : last)
      return { kind: 'entries', entries, upTo: more ? 0 : last, mark, last, more }
    }
    const patients = [...this.scope].sort()
    const present = createHash('sha256')
      .update(patients.map((id) => `${id}\n`).join(''))
      .digest('hex')
    if (scope !== present) return { kind: 'scope', scope: present, patients, last }
    const looked = this.entries.slice(after, after + PAGE)
    const upTo = after + looked.length
    const entries = looked.filter((entry) => this.#concerns(entry, beside))
    return { kind: 'entries', entries, upTo, mark: this.#mark(upTo), last, more: upTo < last }
  }

  #mark(sequence: number): string | null {
    return this.#marks[sequence - 1] ?? null
  }

  #concerns({ fact }: LedgerEntryTold, beside: readonly string[]): boolean {
    const { patientId } = fact.about
    return patientId === undefined || this.scope.has(patientId) || beside.includes(patientId)
  }
}

const ANOTHER_LINE = {
  kind: 'said no',
  status: 409,
  error: { code: 'another-line', what: '', kept: '', todo: '' },
} as const satisfies Reply<never>
