import type { LedgerEntry } from '../chart/chain.ts'
import type { Ledger } from '../store/ledger.ts'

/** Entries in one answer at most. Design rule. */
const MOST_ENTRIES = 2000
/** Text in one answer at most, but for an entry that is longer by itself [characters]. Design rule. */
const MOST_TEXT = 4_000_000
/** Entries read from the database at a time. */
const AT_ONCE = 250

/** Entries for one answer, as many as fit. */
export class Page {
  readonly entries: LedgerEntry[] = []
  readonly #ledger: Ledger
  readonly #facility: string
  #text = 0

  constructor(ledger: Ledger, facility: string) {
    this.#ledger = ledger
    this.#facility = facility
  }

  /** Takes in entries by their numbers, in order. Gives the first that does not fit; null when all of them did. */
  async take(numbers: readonly number[]): Promise<number | null> {
    for (let at = 0; at < numbers.length; at += AT_ONCE) {
      for (const entry of await this.#ledger.at(this.#facility, numbers.slice(at, at + AT_ONCE))) {
        if (!this.#fits(entry)) return entry.sequence
        this.entries.push(entry)
        this.#text += entry.text.length
      }
    }
    return null
  }

  #fits({ text }: LedgerEntry): boolean {
    const { length } = this.entries
    return length === 0 || (length < MOST_ENTRIES && this.#text + text.length <= MOST_TEXT)
  }
}
