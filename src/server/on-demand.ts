import type { LedgerEntry } from '../chart/chain.ts'
import { Chart, type Looked } from '../chart/folds/chart.ts'
import type { Ledger } from '../store/ledger.ts'
import { factsOf } from './facts-of.ts'

/** More turns than any question needs: what is asked for next follows from what was found, a few times at most. */
const MOST_TURNS = 50

type Wanted = Parameters<Looked>

/**
 * The record of a facility, read on demand: a question is put to a chart that holds nothing, again and again, and what
 * it looks for is fetched from the ledger by index, until it finds all that it looks for. So it costs what it needs,
 * however large the ledger has grown. A question may ask for subjects by their ids only; lists of all are another
 * matter (see LiveChart).
 */
export class OnDemand {
  readonly #ledger: Ledger
  readonly #facility: string
  readonly #documents = new Map<string, { readonly upTo: number; readonly entries: readonly LedgerEntry[] }>()

  constructor(ledger: Ledger, facility: string) {
    this.#ledger = ledger
    this.#facility = facility
  }

  /** The answer to a question, which must have no effects: it is asked more than once. */
  async read<Answer>(question: (chart: Chart) => Answer): Promise<Answer> {
    const wanted = new Map<string, Wanted>()
    const fetched = new Set<string>()
    const read = new Set<string>()
    const chart = new Chart((...want) => wanted.set(want.join(' '), want))
    for (let turn = 0; turn < MOST_TURNS; turn += 1) {
      wanted.clear()
      const answered = attempt(() => question(chart))
      const missing = [...wanted].filter(([key]) => !fetched.has(key))
      if (missing.length === 0) {
        if (answered.ok) return answered.answer
        throw answered.error
      }
      for (const entries of await Promise.all(this.#fetches(missing.map(([, want]) => want)))) {
        // Reading a fact costs more than fetching it: what came under another subject already is not read again.
        const { facts, aheadMs } = factsOf(entries.filter(({ factId }) => !read.has(factId)))
        for (const { factId } of entries) read.add(factId)
        chart.add(facts, aheadMs)
      }
      for (const [key] of missing) fetched.add(key)
    }
    throw new Error(`a question to the record asked for more after ${MOST_TURNS} turns`)
  }

  /** The number of the last entry, and the answer to a question: the answer knows all entries up to that number. */
  async readUpTo<Answer>(question: (chart: Chart) => Answer): Promise<{ upTo: number; answer: Answer }> {
    const upTo = await this.#ledger.last(this.#facility)
    return { upTo, answer: await this.read(question) }
  }

  /** One query for all patients, orders and visits each; the others are few. */
  #fetches(wanted: readonly Wanted[]): Promise<readonly LedgerEntry[]>[] {
    const [ledger, facility] = [this.#ledger, this.#facility]
    const columns = (['patient', 'order', 'visit'] as const).flatMap((subject) => {
      const ids = wanted.flatMap(([about, id]) => (about === subject ? [id] : []))
      return ids.length === 0 ? [] : [ledger.aboutAny(facility, subject, ids)]
    })
    return [...columns, ...wanted.flatMap((want) => this.#other(want) ?? [])]
  }

  #other([subject, id]: Wanted): Promise<readonly LedgerEntry[]> | null {
    switch (subject) {
      case 'patient':
      case 'order':
      case 'visit':
        return null
      case 'fact':
        return this.#ledger.entryOfFact(this.#facility, id).then((entry) => (entry ? [entry] : []))
      case 'document':
        return this.#document(id)
      default:
        return this.#ledger.under(this.#facility, subject, id)
    }
  }

  /** Documents are asked for at every turn and change once a month: they are kept until one is adopted. */
  async #document(name: string): Promise<readonly LedgerEntry[]> {
    const upTo = await this.#ledger.lastOfKind(this.#facility, 'document-adopted')
    const kept = this.#documents.get(name)
    if (kept?.upTo === upTo) return kept.entries
    const entries = await this.#ledger.under(this.#facility, 'document', name)
    this.#documents.set(name, { upTo, entries })
    return entries
  }
}

type Attempt<Answer> =
  | { readonly ok: true; readonly answer: Answer }
  | { readonly ok: false; readonly error: unknown }

function attempt<Answer>(act: () => Answer): Attempt<Answer> {
  try {
    return { ok: true, answer: act() }
  } catch (error) {
    return { ok: false, error }
  }
}
