import type { Formulary } from '../formulary/formulary.ts'
import { type Draft, draft, drafted } from '../review/finding.ts'
import { once } from '../working.ts'
import { DILUENTS, type PairFacts, pairsOf } from './pair.ts'

/** Pairs of one cup as findings: what is refused stops, what is not known asks; what may be shared says nothing. */
export function pairDrafts(formulary: Formulary, ids: readonly string[]): Draft[] {
  const pairs = pairsOf(formulary, ids)
  return [...pairs.flatMap(pairDraft), ...manyDrafts(formulary, ids)]
}

function pairDraft({ a, b, verdict, why, duplicate, inVitro, label, sources }: PairFacts): Draft[] {
  if (verdict === 'share') return []
  const facts = `laboratory: ${inVitro}; label: ${label.text || 'nothing read'}`
  return [
    drafted(
      {
        code: `mixing:${[a, b].sort().join(':')}`,
        severity: verdict === 'refuse' ? 'stop' : 'ask',
        what: `${a} and ${b} in one cup: ${verdict === 'refuse' ? 'give them apart' : 'ask first'}`,
        why: `${why} (${facts})`,
        whoMustAnswer: duplicate ? 'prescriber' : 'pharmacist',
      },
      sources,
    ),
  ]
}

/** Three drugs and more: no pair speaks for the whole. */
function manyDrafts(formulary: Formulary, ids: readonly string[]): Draft[] {
  const drugs = drugsOf(formulary, ids)
  const { threeOrMore } = formulary.document.mixing
  if (drugs.length < 3) return []
  return [
    draft(
      formulary,
      {
        code: 'mixing:three-or-more',
        severity: 'ask',
        what: `${drugs.length} drugs in one cup: ask the pharmacist`,
        why: threeOrMore.what,
        whoMustAnswer: 'pharmacist',
      },
      threeOrMore,
    ),
  ]
}

/** The drugs of a cup, combinations taken apart, diluents left out. */
export function drugsOf(formulary: Formulary, ids: readonly string[]): readonly string[] {
  const parts = ids.flatMap(
    (id) => formulary.medicine(id)?.components?.map((part) => part.medicineId) ?? [id],
  )
  return once(parts).filter((id) => !DILUENTS.includes(id))
}
