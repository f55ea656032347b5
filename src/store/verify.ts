import { type ChainReport, chainChecker } from '../chart/chain.ts'
import type { Ledger } from './ledger.ts'

/** Re-computes a facility's hash chain from its first entry and names the first that does not hold. */
export async function verifyLedger(ledger: Ledger, facility: string): Promise<ChainReport> {
  const checker = chainChecker()
  for await (const entry of ledger.entries(facility)) checker.take(entry)
  return checker.report()
}
