import { sha256 } from '@noble/hashes/sha2.js'
import { bytesToHex, utf8ToBytes } from '@noble/hashes/utils.js'
import { canonicalJson } from '../../src/chart/canonical.ts'
import type { Chart } from '../../src/chart/folds/chart.ts'
import type { AnyFact } from '../../src/chart/registry.ts'

export type ChartDigest = { readonly hash: string; readonly parts: Record<string, string> }

/**
 * One hash over everything a chart folds to, written as canonical JSON: two devices that show the same truth give the
 * same, to the byte. Beside it what it is made of, so that a difference can be found.
 */
export function chartDigest(chart: Chart): ChartDigest {
  return digestOf(chart, [...chart.facts()], chart.messages())
}

/**
 * The same over what the shift concerns, where that is every patient: all but the texts of messages from outside, which
 * a tablet does not hold once they are used whole.
 */
export function shiftDigest(chart: Chart): ChartDigest {
  return digestOf(chart, concerningFacts(chart), [])
}

/** What a tablet holds of a ledger of which every patient concerns the shift. */
export function concerningFacts(chart: Chart): AnyFact[] {
  return [...chart.facts()].filter(({ kind }) => kind !== 'message-received')
}

function digestOf(chart: Chart, of: readonly AnyFact[], messages: readonly unknown[]): ChartDigest {
  const facts = of.map((fact) => ({ fact, aheadMs: chart.deviceAheadMs(fact.id) ?? null }))
  const patients = new Set(facts.flatMap(({ fact }) => fact.about.patientId ?? []))
  const folded = {
    facts: facts.sort((a, b) => (a.fact.id < b.fact.id ? -1 : 1)),
    patients: [...patients].sort().map((id) => chart.patient(id)),
    orders: chart.orders(),
    visits: chart.visits(),
    staff: chart.staff(),
    messages,
    handovers: chart.handovers(),
  }
  const parts = Object.fromEntries(Object.entries(folded).map(([name, value]) => [name, hashOf(value)]))
  return { hash: hashOf(parts), parts }
}

function hashOf(value: unknown): string {
  return bytesToHex(sha256(utf8ToBytes(canonicalJson(JSON.parse(JSON.stringify(value))))))
}
