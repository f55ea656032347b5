import { isUnsettled, messageState } from '../chart/folds/message.ts'
import type { Ledger } from '../store/ledger.ts'
import { factsOf } from './facts-of.ts'
import { LASTING, liveSince } from './live-chart.ts'

/** An answer to a message of ours comes with the patient whom that message is about, a message from outside by its own rule. */
const NOT_BY_AGE = ['message-received', 'message-answered']

/**
 * The numbers of entries that are about no patient and still count, in order: what the department goes by, what came in
 * during the last 72 hours, and messages from outside of which something stayed undone.
 */
export async function stillCounting(ledger: Ledger, facility: string, nowMs: number): Promise<number[]> {
  const { touchedSince } = liveSince(nowMs)
  const after = await ledger.lastBefore(facility, touchedSince)
  const found = [
    ...(await ledger.numbersOfNobody(facility, { kinds: LASTING })),
    ...(await ledger.numbersOfNobody(facility, { after, but: NOT_BY_AGE })),
    ...(await ledger.unsettledMessages(facility)).map(({ sequence }) => sequence),
  ]
  return [...new Set(found)].sort((a, b) => a - b)
}

/**
 * Of messages from outside, by their numbers, those of which something stayed undone and which nobody has settled. The
 * text of the others has no business on every tablet.
 */
export async function undoneMessages(
  ledger: Ledger,
  facility: string,
  numbers: readonly number[],
): Promise<ReadonlySet<number>> {
  if (numbers.length === 0) return new Set()
  const entries = await ledger.at(facility, numbers)
  const undone = new Map<string, string>()
  for (const fact of factsOf(entries).facts) {
    if (fact.kind !== 'message-received') continue
    const message = messageState(fact)
    if (isUnsettled(message)) undone.set(fact.id, `message:${message.messageId}`)
  }
  const settled = new Set(await ledger.settledOf(facility, [...undone.values()]))
  return new Set(
    entries.flatMap(({ factId, sequence }) => {
      const item = undone.get(factId)
      return item === undefined || settled.has(item) ? [] : [sequence]
    }),
  )
}
