import type { LedgerEntry } from '../chart/chain.ts'
import { type AnyFact, readFact } from '../chart/registry.ts'

/** Entries as facts, and how far the device of each was ahead; what this program cannot read is left out. */
export function factsOf(entries: readonly LedgerEntry[]): {
  readonly facts: readonly AnyFact[]
  readonly aheadMs: ReadonlyMap<string, number>
} {
  const aheadMs = new Map<string, number>()
  const facts = entries.flatMap(({ text, factId, deviceAheadMs }) => {
    const read = readFact(JSON.parse(text))
    if (deviceAheadMs !== null) aheadMs.set(factId, deviceAheadMs)
    return read.ok ? [read.fact] : []
  })
  return { facts, aheadMs }
}
