import type { Formulary } from '../formulary/formulary.ts'
import type { Stage } from '../formulary/rule-schema.ts'
import { bedsideDrafts } from './bedside.ts'
import { type Finding, findingsOf } from './finding.ts'
import { conditionCodes, indicationCodes, kindsOf, type PatientFacts } from './patient.ts'
import type { Situation } from './situation.ts'

/** What is known at the bedside: the chart, the last measurements, and the set-up as far as it is chosen. */
export type Bedside = Omit<Situation, 'conditions' | 'taking' | 'indications' | 'several'> & {
  readonly medicineIds: readonly string[]
  readonly conditions: PatientFacts['conditions']
  readonly taking: PatientFacts['taking']
  readonly indication: string | null
  /** True when a wheeze is heard now: counts as airways narrowed now. */
  readonly wheeze?: boolean
  /** True when several treatments are given one after the other; drugs in one cup are one treatment. */
  readonly several?: boolean
}

/**
 * What speaks against giving these medicines now, or must be confirmed first: the contraindications, cautions and
 * rules of the formulary against the chart and the last measurements. Ids that the formulary does not know are
 * passed over here; the review of the order has asked about them.
 */
export function doorFindings(
  formulary: Formulary,
  bedside: Bedside,
  stage: Stage = 'door',
): readonly Finding[] {
  const medicines = bedside.medicineIds.flatMap((id) => formulary.medicine(id) ?? [])
  return findingsOf(bedsideDrafts(formulary, medicines, situationOf(formulary, bedside), stage))
}

/** The chart and the bedside in the words that rules ask in. */
export function situationOf(formulary: Formulary, bedside: Bedside): Situation {
  const { medicineIds, conditions, taking, indication, wheeze, several, ...rest } = bedside
  const narrowed = wheeze === true ? ['current-bronchospasm'] : []
  return {
    ...rest,
    several: several ?? (medicineIds.length > 1 && rest.mixed !== true),
    indications: indicationCodes(formulary, indication),
    ...(conditions !== null && {
      conditions: new Set([...conditionCodes(formulary, conditions), ...narrowed]),
    }),
    ...(taking !== null && { taking: new Set(taking.flatMap((each) => kindsOf(formulary, each))) }),
  }
}
