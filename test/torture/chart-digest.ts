import { sha256 } from '@noble/hashes/sha2.js'
import { bytesToHex, utf8ToBytes } from '@noble/hashes/utils.js'
import { canonicalJson } from '../../src/chart/canonical.ts'
import type { Chart } from '../../src/chart/folds/chart.ts'

/**
 * One hash over everything a chart folds to, written as canonical JSON: two devices that show the same truth give the
 * same, to the byte. Beside it what it is made of, so that a difference can be found.
 */
export function chartDigest(chart: Chart): { readonly hash: string; readonly parts: Record<string, string> } {
  const facts = [...chart.facts()].map((fact) => ({ fact, aheadMs: chart.deviceAheadMs(fact.id) ?? null }))
  const patients = new Set(facts.flatMap(({ fact }) => fact.about.patientId ?? []))
  const folded = {
    facts: facts.sort((a, b) => (a.fact.id < b.fact.id ? -1 : 1)),
    patients: [...patients].sort().map((id) => chart.patient(id)),
    orders: chart.orders(),
    visits: chart.visits(),
    staff: chart.staff(),
    messages: chart.messages(),
    handovers: chart.handovers(),
  }
  const parts = Object.fromEntries(Object.entries(folded).map(([name, value]) => [name, hashOf(value)]))
  return { hash: hashOf(parts), parts }
}

function hashOf(value: unknown): string {
  return bytesToHex(sha256(utf8ToBytes(canonicalJson(JSON.parse(JSON.stringify(value))))))
}
