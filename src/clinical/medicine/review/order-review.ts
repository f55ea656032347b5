import type { Source } from '../../worked.ts'
import type { Formulary } from '../formulary/formulary.ts'
import type { Medicine } from '../formulary/medicine-schema.ts'
import { pairDrafts } from '../mixture/pair-drafts.ts'
import { once, sourcesOnce } from '../working.ts'
import { allergyDrafts } from './allergy.ts'
import { bedsideDrafts } from './bedside.ts'
import { completenessDrafts } from './completeness.ts'
import { cycleDrafts } from './cycle-check.ts'
import { situationOf } from './door.ts'
import { doseDrafts } from './dose-range.ts'
import { duplicateDrafts } from './duplicates.ts'
import { type EquipmentNeeded, equipmentFor } from './equipment.ts'
import { byRule, type Draft, draft, type Finding, findingsOf } from './finding.ts'
import { frequencyDrafts } from './frequency-check.ts'
import type { OrderToReview } from './order.ts'
import { indicationCodes, kindsOf, type PatientFacts, requirePlausible } from './patient.ts'
import { plannedTotalDrafts } from './planned-total.ts'
import { holds, type Situation } from './situation.ts'

/** What came of a review: findings, gravest first; what the cup calls for; how it was judged; on what it rests. */
export type OrderReview = {
  readonly findings: readonly Finding[]
  readonly equipment: EquipmentNeeded
  /** True when it was judged as an acute order, which goes beyond routine doses and gaps on purpose. */
  readonly acute: boolean
  readonly formularyVersion: string
  readonly steps: readonly string[]
  readonly sources: readonly Source[]
}

/** Shorter than this between doses is acute by itself; common practice, no source. */
const ACUTE_UNDER_MINUTES = 120
const BRONCHODILATORS = [
  'short-acting beta-2 agonist',
  'short-acting anticholinergic',
  'long-acting beta-2 agonist',
]

/**
 * Reviews an order before it is ever due: is it complete, is each dose within what is published for this age and
 * weight, is anything doubled, is there an allergy, an interaction, a contraindication, and what must be at hand.
 * Nothing is assumed for what the chart or the order does not say: it is asked.
 * @throws OutsideValidity for an age or weight that no person has
 */
export function reviewOrder(formulary: Formulary, order: OrderToReview, patient: PatientFacts): OrderReview {
  requirePlausible(patient)
  const lines = order.medicines.filter(({ part }) => part === 'medicine')
  const known = lines.flatMap((line) => {
    const medicine = line.medicineId === null ? null : formulary.medicine(line.medicineId)
    return medicine ? [{ line, medicine }] : []
  })
  const medicines = known.map(({ medicine }) => medicine)
  const ids = order.medicines.flatMap(({ medicineId }) => medicineId ?? [])
  const situation = situationOfOrder(formulary, order, patient, medicines)
  const acute = isAcute(formulary, order)
  const kind = { acute, continuous: order.frequency?.continuous ?? false }
  const drafts = [
    ...completenessDrafts(formulary, order),
    ...known.flatMap(({ line, medicine }) => [
      ...doseDrafts(formulary, medicine, line, patient, kind),
      ...frequencyDrafts(formulary, medicine, line, order, patient, acute),
      ...cycleDrafts(formulary, medicine, order),
    ]),
    ...plannedTotalDrafts(formulary, order, patient.orders ?? [], patient, acute),
    ...allergyDrafts(formulary, medicines, patient.allergies),
    ...duplicateDrafts(formulary, medicines, { asNeeded: order.prn !== null }, patient.taking ?? []),
    ...bedsideDrafts(formulary, medicines, situation, 'order'),
    ...pairDrafts(formulary, ids),
    ...firstDrafts(formulary, medicines, situation, patient),
    ...unknownTaking(formulary, patient),
    ...isolationDrafts(formulary, patient.isolation ?? []),
  ]
  return {
    findings: findingsOf(drafts),
    equipment: equipmentFor(formulary, ids),
    acute,
    formularyVersion: formulary.version,
    steps: once(drafts.map(({ what, why }) => `${what}: ${why}`)),
    sources: sourcesOnce(drafts.flatMap(({ sources }) => sources)),
  }
}

/** Acute when the order says so, is stat, runs by the hour or in short steps, or names an acute illness. */
export function isAcute(formulary: Formulary, order: OrderToReview): boolean {
  if (order.acute !== undefined) return order.acute
  const every = order.frequency?.everyMinutes ?? Number.POSITIVE_INFINITY
  return (
    order.priority === 'stat' ||
    order.frequency?.stat === true ||
    order.frequency?.continuous === true ||
    every < ACUTE_UNDER_MINUTES ||
    indicationCodes(formulary, order.indication).has('acute')
  )
}

function situationOfOrder(
  formulary: Formulary,
  order: OrderToReview,
  patient: PatientFacts,
  medicines: readonly Medicine[],
): Situation {
  const { conditions, taking } = patient
  const medicineIds = medicines.map(({ id }) => id)
  const inOrder = medicines.flatMap((medicine) =>
    kindsOf(formulary, { medicineId: medicine.id, name: medicine.name }),
  )
  const situation = situationOf(formulary, {
    medicineIds,
    conditions,
    taking,
    indication: order.indication,
    mixed: medicineIds.length > 1,
  })
  if (situation.taking === undefined) return situation
  return { ...situation, taking: new Set([...situation.taking, ...(medicines.length > 1 ? inOrder : [])]) }
}

/** A bronchodilator that must come first, and none in sight. */
function firstDrafts(
  formulary: Formulary,
  medicines: readonly Medicine[],
  situation: Situation,
  { taking }: PatientFacts,
): Draft[] {
  const here = medicines.flatMap(({ classes }) => classes)
  const besides = (taking ?? []).flatMap((each) => kindsOf(formulary, each))
  if ([...here, ...besides].some((kind) => BRONCHODILATORS.includes(kind))) return []
  return medicines.flatMap((medicine) => {
    const first = medicine.bronchodilatorFirst
    if (!first || (first.if && holds(first.if, situation) !== 'yes')) return []
    return [
      draft(
        formulary,
        {
          code: `bronchodilator-missing:${medicine.id}`,
          severity: 'ask',
          what: `${medicine.name}: ask for a bronchodilator to be given first`,
          why: `${first.text}; none is in this order or ${taking === null ? 'known of' : 'among the others'}`,
          whoMustAnswer: 'prescriber',
        },
        first,
      ),
    ]
  })
}

function unknownTaking(formulary: Formulary, { taking }: PatientFacts): Draft[] {
  if (taking !== null) return []
  return [
    draft(
      formulary,
      {
        code: 'medicines-unknown',
        severity: 'ask',
        what: 'ask what else the patient takes',
        why: 'the chart does not say, so duplicates and interactions could not be checked',
        whoMustAnswer: 'pharmacist',
      },
      byRule('order-rules'),
    ),
  ]
}

/** Whether nebulizing spreads an infection is a matter of policy: sources disagree. */
function isolationDrafts(formulary: Formulary, isolation: readonly string[]): Draft[] {
  const spread = isolation.filter((each) => /^(air|drp)/i.test(each) || /airborne|droplet/i.test(each))
  if (spread.length === 0) return []
  return [
    draft(
      formulary,
      {
        code: 'isolation',
        severity: 'caution',
        what: 'protect as local policy says for nebulizing under these precautions; a filter on the exhaled side keeps the mist in',
        why: `precautions in force: ${spread.join(', ')}; sources disagree whether nebulizing counts as making an aerosol that infects`,
        whoMustAnswer: 'therapist',
      },
      { status: 'mixed', sources: ['FINK2020', 'CDC2007'] },
    ),
  ]
}
