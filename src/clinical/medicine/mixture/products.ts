import type { Formulary } from '../formulary/formulary.ts'
import { once, sourcesOnce } from '../working.ts'
import {
  componentsOf,
  type PairFacts,
  pairFacts,
  shortestTime,
  strictestFound,
  strictestLabel,
  strictestVerdict,
} from './pair.ts'

/**
 * What is known of two products in one cup. A combination is looked up by its parts, as nothing is published of it by
 * its own name: each part with each drug of the other, and the strictest word of all pairs. The order of the two does
 * not matter.
 */
export function productFacts(formulary: Formulary, a: string, b: string): PairFacts {
  const pairs = componentsOf(formulary, a).flatMap((x) =>
    componentsOf(formulary, b).map((y) => pairFacts(formulary, x, y)),
  )
  const [only, ...more] = pairs
  if (only && more.length === 0) return { ...only, a, b }
  const verdict = strictestVerdict(pairs)
  const named = (pair: PairFacts, words: string) => `${pair.a} and ${pair.b}: ${words}`
  return {
    a,
    b,
    verdict,
    inVitro: strictestFound(pairs),
    label: {
      position: strictestLabel(pairs.map(({ label }) => label.position)),
      text: once(pairs.flatMap(({ label }) => label.text || [])).join('; '),
    },
    duplicate: pairs.some(({ duplicate }) => duplicate),
    useWithinMin: shortestTime(pairs),
    why: pairs
      .filter((pair) => pair.verdict === verdict)
      .map((pair) => named(pair, pair.why))
      .join('; '),
    notes: pairs.flatMap((pair) => pair.notes.map((note) => named(pair, note))),
    sources: sourcesOnce(pairs.flatMap(({ sources }) => sources)),
  }
}
