import { BadInput, type Worked } from '../../worked.ts'
import { above, figure, positive } from '../dose/exact.ts'
import { unitDosesPlusDiluent } from '../dose/fill.ts'
import type { Formulary } from '../formulary/formulary.ts'
import type { Medicine } from '../formulary/medicine-schema.ts'
import type { InterfaceKind, NebulizerKind } from '../formulary/when.ts'
import { bedsideDrafts } from '../review/bedside.ts'
import { type EquipmentNeeded, equipmentFor } from '../review/equipment.ts'
import { byRule, type Draft, draft, type Finding, findingsOf } from '../review/finding.ts'
import { type Adding, addInOrder } from './adding.ts'
import { DILUENTS, type PairFacts, pairsOf, shortestTime, strictestVerdict, type Verdict } from './pair.ts'
import { drugsOf, pairDrafts } from './pair-drafts.ts'
import { type KnownPortion, knownPortion, type Portion } from './portion.ts'

/** The cup in the hand, as far as it is chosen. */
export type Cup = {
  readonly nebulizer?: NebulizerKind
  readonly interface?: InterfaceKind
  readonly maximumFillMl?: number
  /** True when it is the device that belongs to the drug. */
  readonly ownDevice?: boolean
  readonly filter?: boolean
}

export type CupToMix = {
  readonly portions: readonly Portion[]
  readonly targetFillMl: number
  /** What fills it up: 0.9 % sodium chloride unless something else is said. */
  readonly diluentId?: string
  /** True for continuous or frequent treatments. */
  readonly repeated?: boolean
  readonly premixed?: boolean
  readonly cup?: Cup
}

export type Mixture = {
  readonly drug: Worked<'mL'>
  readonly diluent: Worked<'mL'>
  /** May it be mixed: the strictest word of all pairs. */
  readonly verdict: Verdict
  readonly pairs: readonly PairFacts[]
  /** Shortest time that any pair may wait; null when none is published. */
  readonly useWithinMin: number | null
  readonly adding: readonly Adding[]
  readonly equipment: EquipmentNeeded
  /** What mixing did to the mist, where these drugs were studied together. */
  readonly mist: readonly string[]
  readonly findings: readonly Finding[]
}

/** Under this many milliliters many jet cups work poorly; label notes and common practice. */
const SMALL_FILL_ML = 3

/**
 * A cup made up: volumes, the diluent to the fill, what is known of every pair, the order of adding, what suits it,
 * and what must be answered first.
 * @throws BadInput when there is nothing in it, a medicine or pack is unknown, a figure cannot be used, or the
 * drugs alone are more than the fill
 */
export function mixture(formulary: Formulary, asked: CupToMix): Mixture {
  const known = asked.portions.map((portion) => knownPortion(formulary, portion))
  const named = known.map(({ medicine, portion }) => ({ name: medicine.name, volumeMl: portion.volumeMl }))
  const { drug, diluent } = unitDosesPlusDiluent(named, asked.targetFillMl)
  const diluentId = diluent.value > 0 ? (asked.diluentId ?? 'sodium-chloride-0.9') : null
  if (diluentId !== null && !DILUENTS.includes(diluentId))
    throw new BadInput('diluent', diluentId, DILUENTS.join(' or '))

  const drugIds = asked.portions.map(({ medicineId }) => medicineId)
  const ids = diluentId === null ? drugIds : [...drugIds, diluentId]
  const pairs = pairsOf(formulary, ids)
  const medicines = known.map(({ medicine }) => medicine)
  const asThingsStand = situation(asked, known, diluent.value)
  return {
    drug,
    diluent,
    verdict: strictestVerdict(pairs),
    pairs,
    useWithinMin: shortestTime(pairs),
    adding: addInOrder(known, diluentId, diluent.value),
    equipment: equipmentFor(formulary, drugIds),
    mist: mistOf(formulary, drugIds),
    findings: findingsOf([
      ...bedsideDrafts(formulary, medicines, asThingsStand, 'cup'),
      ...packUnknownDrafts(formulary, known, asThingsStand),
      ...pairDrafts(formulary, ids),
      ...fillDrafts(formulary, asked),
      ...unsuitableDrafts(formulary, asked, medicines),
    ]),
  }
}

/** What is known about the cup. Preservatives are those of the packs that are known; for the others see packUnknownDrafts. */
function situation(
  { portions, repeated, premixed, cup = {} }: CupToMix,
  known: readonly KnownPortion[],
  diluentMl: number,
) {
  // anything beside a concentrate that is no concentrate itself dilutes it
  const onlyConcentrates = known.every(({ supply }) => supply?.mustBeDiluted)
  const preservatives = known.flatMap(({ supply }) => supply?.preservative ?? [])
  const { maximumFillMl: _, ...chosen } = cup
  return {
    ...chosen,
    mixed: new Set(portions.map(({ medicineId }) => medicineId)).size > 1,
    concentrateUndiluted: onlyConcentrates && diluentMl === 0,
    conditions: new Set<string>(),
    ...(repeated !== undefined && { repeated }),
    ...(premixed !== undefined && { premixed }),
    preservatives: new Set(preservatives),
  }
}

/** A pack that is not known may hold a preservative: what a rule would then say is asked about. */
function packUnknownDrafts(
  formulary: Formulary,
  known: readonly KnownPortion[],
  asThingsStand: ReturnType<typeof situation>,
): Draft[] {
  const medicines = known.map(({ medicine }) => medicine)
  const said = new Set(bedsideDrafts(formulary, medicines, asThingsStand, 'cup').map(({ code }) => code))
  const unknown = known.filter(
    ({ supply, medicine }) => supply === null && preservativesOf(medicine).length > 0,
  )
  const possible = new Set(unknown.flatMap(({ medicine }) => preservativesOf(medicine)))
  const packs = unknown.map(({ medicine }) => medicine.name).join(', ')
  return bedsideDrafts(formulary, medicines, { ...asThingsStand, preservatives: possible }, 'cup')
    .filter(({ code }) => !said.has(code))
    .map((may) => ({
      ...may,
      code: `pack-unknown:${may.code}`,
      severity: may.severity === 'stop' ? ('ask' as const) : may.severity,
      what: `say which pack it is (${packs}): ${may.what}`,
      why: `some of its packs hold a preservative; ${may.why}`,
    }))
}

function preservativesOf({ supply }: Medicine): readonly string[] {
  return supply.flatMap(({ preservative }) => preservative ?? [])
}

function fillDrafts(formulary: Formulary, { targetFillMl, cup = {} }: CupToMix): Draft[] {
  const fill = positive('target fill', targetFillMl, 'mL')
  const most = cup.maximumFillMl === undefined ? null : positive('maximum fill', cup.maximumFillMl, 'mL')
  const jet = cup.nebulizer === 'jet'
  return [
    ...(most && above(fill, most)
      ? [
          draft(
            formulary,
            {
              code: 'fill-above-cup',
              severity: 'stop',
              what: `the fill is more than the cup holds: ${figure(most)} mL`,
              why: `${figure(fill)} mL are wanted`,
              whoMustAnswer: 'therapist',
            },
            byRule('order-rules'),
          ),
        ]
      : []),
    ...(jet && targetFillMl < SMALL_FILL_ML
      ? [
          draft(
            formulary,
            {
              code: 'fill-small',
              severity: 'caution',
              what: `a fill of ${figure(fill)} mL: many jet cups work poorly under ${SMALL_FILL_ML} mL; add diluent if the drug allows it`,
              why: 'what stays behind in the cup is a large part of a small fill',
              whoMustAnswer: 'therapist',
            },
            { status: 'mixed', sources: ['MSF', 'practice'] },
          ),
        ]
      : []),
  ]
}

/** The chosen kind of nebulizer against each drug; a stop only where the label rules it out. */
function unsuitableDrafts(
  formulary: Formulary,
  { cup = {} }: CupToMix,
  medicines: readonly Medicine[],
): Draft[] {
  const { nebulizer } = cup
  if (nebulizer === undefined) return []
  return medicines
    .filter(({ equipment }) => !equipment.nebulizers.includes(nebulizer) && equipment.ownDevice === undefined)
    .filter(({ equipment }) => !equipment.notNebulizers?.includes(nebulizer)) // a rule says that one
    .map((medicine) =>
      draft(
        formulary,
        {
          code: `nebulizer-not-named:${medicine.id}`,
          severity: 'ask',
          what: `${medicine.name}: ask whether this kind of nebulizer will do: ${nebulizer}`,
          why: `sources name: ${medicine.equipment.nebulizers.join(', ')}`,
          whoMustAnswer: 'pharmacist',
        },
        medicine.equipment,
      ),
    )
}

function mistOf(formulary: Formulary, ids: readonly string[]): readonly string[] {
  const drugs = drugsOf(formulary, ids)
  return formulary.document.mixing.findings
    .filter((finding) => finding.drugs.every((drug) => drugs.includes(drug)))
    .map(({ drugs: studied, what }) => `${studied.join(' with ')}: ${what}`)
}
