import type { Chart } from '../chart/folds/chart.ts'
import type { Answered, Received } from '../exchange/receive.ts'
import { LedgerMoved } from '../store/append.ts'
import type { Ledger } from '../store/ledger.ts'
import type { OnDemand } from './on-demand.ts'
import { Problem } from './problem.ts'

/** How often a message is read anew because somebody else's facts came in between. Design rule. */
const MOST_TURNS = 20

type Parts = {
  readonly ledger: Ledger
  readonly facility: string
  readonly record: OnDemand
  readonly nowMs: () => number
}

/**
 * Stores what the door makes of what comes from outside, one after the other: the second of two equal messages sees
 * what the first became. What a message becomes depends on all that came before it; should the ledger grow while it is
 * read (a tablet sends, another process takes the same message), it is read again from what there is then.
 */
export class Intake {
  readonly #parts: Parts
  #before: Promise<unknown> = Promise.resolve()

  constructor(parts: Parts) {
    this.#parts = parts
  }

  /**
   * `read` must have no effects: it is asked anew until the chart holds all that it looks for. Answers once everything is on the disk.
   * @throws Problem 503 when the ledger never held still; nothing was stored then
   */
  take(read: (chart: Chart) => readonly Received[]): Promise<Answered[]> {
    const act = () => this.#take(read)
    const turn = this.#before.then(act, act)
    this.#before = turn.catch(() => undefined)
    return turn
  }

  async #take(read: (chart: Chart) => readonly Received[]): Promise<Answered[]> {
    const { ledger, facility, record, nowMs } = this.#parts
    for (let turn = 0; turn < MOST_TURNS; turn += 1) {
      const { upTo: onlyIfLast, answer: received } = await record.readUpTo(read)
      const answers = received.map(({ answer }) => answer)
      const facts = received.flatMap((each) => each.facts)
      if (facts.length === 0) return answers
      const receivedAt = new Date(nowMs()).toISOString()
      try {
        await ledger.append(facility, { facts, receivedAt, deviceAheadMs: null, onlyIfLast, together: true })
        return answers
      } catch (error) {
        if (!(error instanceof LedgerMoved)) throw error
      }
    }
    throw new Problem(503, 'busy', {
      what: 'Too much else came in while this was read.',
      todo: 'Send it again; nothing of it was stored.',
    })
  }
}
