import { BadInput } from '../../worked.ts'
import { readAmount } from './amount.ts'
import { above, exact, figure, positive } from './exact.ts'
import { unitDosesPlusDiluent } from './fill.ts'
import { readStrength } from './read-strength.ts'
import { strengthMgPerMl } from './strength.ts'

/** What an order or a preparation says, as far as it says anything. */
export type Proposal = {
  readonly unitsMl?: readonly number[] | undefined
  readonly targetFillMl?: number | undefined
  /** As written: text, or a bare number. */
  readonly dose?: string | number | undefined
  readonly doseMg?: number | undefined
  readonly maxSingleMg?: number | undefined
  readonly drug?: string | undefined
  readonly strength?: string | undefined
  readonly mlPerKg?: number | undefined
}

/** Between the usual mL/kg of 2.25 % racemic (0.05) and that of 1 mg/mL L-epinephrine (0.5); common practice, no source. */
const RACEMIC_ML_PER_KG_MAX = exact(0.1)

/**
 * Why a proposal cannot be carried out as it stands: every reason found, in words; empty when there is none.
 * @throws BadInput when the proposal holds nothing that can be judged
 */
export function reasonsToRefuse(proposal: Proposal): readonly string[] {
  const judged = [fill, writtenDose, bareDose, largestDose, epinephrines, strengthText]
    .map((judge) => judge(proposal))
    .filter((reasons) => reasons !== null)
  if (judged.length === 0) throw new BadInput('proposal', 'nothing to judge', 'a dose, a fill or a strength')
  return judged.flat()
}

type Judge = (proposal: Proposal) => readonly string[] | null

const fill: Judge = ({ unitsMl, targetFillMl }) => {
  if (unitsMl === undefined || targetFillMl === undefined) return null
  const units = unitsMl.map((volumeMl, at) => ({ name: `unit ${at + 1}`, volumeMl }))
  return refused(() => unitDosesPlusDiluent(units, targetFillMl))
}

const writtenDose: Judge = ({ dose, drug }) => {
  if (typeof dose !== 'string') return null
  const unread = refused(() => readAmount(dose))
  if (unread.length > 0 || !isColistimethate(drug)) return unread
  return readAmount(dose).unit === 'mg' ? [UNIT_OF_COLISTIMETHATE] : []
}

const bareDose: Judge = ({ dose }) => {
  if (typeof dose !== 'number') return null
  return [`the dose ${dose} has no unit; ${UNIT_OF_COLISTIMETHATE}`]
}

const UNIT_OF_COLISTIMETHATE =
  'for colistimethate, activity units, mg of the sodium salt and mg of base activity are three different numbers, so the order has to name one'

const largestDose: Judge = ({ doseMg, maxSingleMg }) => {
  if (doseMg === undefined) return null
  const unusable = refused(() => positive('dose', doseMg, 'mg'))
  if (unusable.length > 0 || maxSingleMg === undefined) return unusable
  const [dose, most] = [positive('dose', doseMg, 'mg'), positive('largest single dose', maxSingleMg, 'mg')]
  if (!above(dose, most)) return []
  return [
    `${figure(dose)} mg is more than the largest single dose published, ${figure(most)} mg: a slip of the decimal point is possible, so the prescriber is asked`,
  ]
}

const epinephrines: Judge = ({ drug, mlPerKg }) => {
  if (mlPerKg === undefined) return null
  const volume = positive('volume per kg', mlPerKg, 'mL/kg')
  if (!/racemic|racepinephrine/i.test(drug ?? '') || !above(volume, RACEMIC_ML_PER_KG_MAX)) return []
  return [
    `${figure(volume)} mL/kg is a volume for L-epinephrine 1 mg/mL; of racemic 2.25 % (22.5 mg/mL) it would be about ten times the usual 0.05 mL/kg`,
  ]
}

const strengthText: Judge = ({ strength }) =>
  strength === undefined ? null : refused(() => strengthMgPerMl(readStrength(strength)))

const isColistimethate = (drug: string | undefined) => /colisti|methanesulfonate/i.test(drug ?? '')

/** The message of a refusal, or nothing when the sum went through. */
function refused(attempt: () => unknown): readonly string[] {
  try {
    attempt()
    return []
  } catch (error) {
    if (error instanceof BadInput) return [error.message]
    throw error
  }
}
