import { Chart } from '../chart/folds/chart.ts'
import { readFact } from '../chart/registry.ts'
import type { Ledger } from '../store/ledger.ts'

const PAGE = 2000

/** The chart of a facility as this server process knows it, brought up to the ledger before it is asked. */
export class LiveChart {
  readonly #ledger: Ledger
  readonly #facility: string
  readonly #chart = new Chart()
  #upTo = 0
  #turn: Promise<void> = Promise.resolve()

  constructor(ledger: Ledger, facility: string) {
    this.#ledger = ledger
    this.#facility = facility
  }

  /** The number of the last entry that is in the chart. */
  get upTo(): number {
    return this.#upTo
  }

  /** The chart with everything that is stored when it is asked for. One catch-up at a time, each with its own look. */
  async now(): Promise<Chart> {
    const turn = this.#turn.then(() => this.#catchUp())
    this.#turn = turn.catch(() => undefined)
    await turn
    return this.#chart
  }

  async #catchUp(): Promise<void> {
    while (true) {
      const entries = await this.#ledger.after(this.#facility, this.#upTo, PAGE)
      const ahead = new Map<string, number>()
      const facts = entries.flatMap((entry) => {
        const read = readFact(JSON.parse(entry.text))
        if (entry.deviceAheadMs !== null) ahead.set(entry.factId, entry.deviceAheadMs)
        return read.ok ? [read.fact] : []
      })
      this.#chart.add(facts, ahead)
      this.#upTo = entries.at(-1)?.sequence ?? this.#upTo
      if (entries.length < PAGE) return
    }
  }
}
