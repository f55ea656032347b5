import type { LedgerEntry } from '../chart/chain.ts'
import type { Ledger } from '../store/ledger.ts'
import { factsOf } from './facts-of.ts'

/**
 * All that was ever said of some patients, in order, with what became of the messages about them: whether one was taken
 * is said of the message alone, without the patient.
 */
export async function wholePatients(
  ledger: Ledger,
  facility: string,
  ids: readonly string[],
): Promise<LedgerEntry[]> {
  const own = await ledger.aboutAny(facility, 'patient', [...new Set(ids)])
  const messages = factsOf(own).facts.flatMap(({ kind, about }) =>
    kind === 'message-composed' ? (about.messageId ?? []) : [],
  )
  const answers = await ledger.underAny(facility, 'message', messages, 'message-answered')
  return [...own, ...answers].sort((a, b) => a.sequence - b.sequence)
}
