import { type ChainReport, chainChecker } from '../chart/chain.ts'
import type { FactEnvelope } from '../chart/fact.ts'
import { platformDigest } from './digest.ts'
import type { Ledger } from './ledger.ts'
import { entryOf, rowOf } from './ledger-rows.ts'
import type { LedgerRow } from './schema.ts'

/**
 * Re-computes a facility's hash chain from its first entry and names the first that does not hold. An entry must also
 * be filed under what the fact inside says, or a search by patient would miss it.
 */
export async function verifyLedger(ledger: Ledger, facility: string): Promise<ChainReport> {
  const checker = chainChecker(platformDigest)
  for await (const row of ledger.rows(facility)) {
    checker.take(entryOf(row))
    const report = checker.report()
    if (report.kind === 'broken') return report
    const column = misfiled(row)
    if (column !== null) {
      const { sequence, fact_id: factId } = row
      const why = `it is filed under another ${column} than the fact inside says`
      return { kind: 'broken', entries: report.entries - 1, sequence, factId, why }
    }
  }
  return checker.report()
}

function misfiled(row: LedgerRow): string | null {
  const expected = rowOf(entryOf(row), JSON.parse(row.text) as FactEnvelope)
  const columns = Object.keys(expected) as (keyof LedgerRow)[]
  return columns.find((column) => expected[column] !== row[column]) ?? null
}
