import { sha256 } from '@noble/hashes/sha2.js'
import { bytesToHex, utf8ToBytes } from '@noble/hashes/utils.js'
import { canonicalJson } from '../../src/chart/canonical.ts'
import type { Chart } from '../../src/chart/folds/chart.ts'
import type { AnyFact } from '../../src/chart/registry.ts'

export type ChartDigest = { readonly hash: string; readonly parts: Record<string, string> }

/**
 * One hash over all that a chart folds to of what the shift concerns, where that is every patient, written as canonical
 * JSON: two devices that show the same truth give the same, to the byte. Beside it what it is made of, so that a difference
 * can be found. Texts of messages from outside are left out: a tablet does not hold them once they are used whole.
 */
export function shiftDigest(chart: Chart): ChartDigest {
  const of = concerningFacts(chart)
  const facts = of.map((fact) => ({ fact, aheadMs: chart.deviceAheadMs(fact.id) ?? null }))
  const patients = new Set(of.flatMap(({ about }) => about.patientId ?? []))
  const folded = {
    facts: facts.sort((a, b) => (a.fact.id < b.fact.id ? -1 : 1)),
    patients: [...patients].sort().map((id) => chart.patient(id)),
    orders: chart.orders(),
    visits: chart.visits(),
    staff: chart.staff(),
    handovers: chart.handovers(),
  }
  const parts = Object.fromEntries(Object.entries(folded).map(([name, value]) => [name, hashOf(value)]))
  return { hash: hashOf(parts), parts }
}

/** What a tablet holds of a ledger of which every patient concerns the shift. */
export function concerningFacts(chart: Chart): AnyFact[] {
  return [...chart.facts()].filter(({ kind }) => kind !== 'message-received')
}

function hashOf(value: unknown): string {
  return bytesToHex(sha256(utf8ToBytes(canonicalJson(JSON.parse(JSON.stringify(value))))))
}
