import { TIMING_CALCULATIONS } from '../chart/timing/calculations.ts'
import { AEROSOL_CALCULATIONS } from '../clinical/aerosol/index.ts'
import { ASSESSMENT_CALCULATIONS } from '../clinical/assessment/calculations.ts'
import type { Calculation } from '../clinical/calculation.ts'
import { LUNG_FUNCTION_CALCULATIONS } from '../clinical/lung-function/calculations.ts'
import { type Formulary, formularyCalculations, MEDICINE_CALCULATIONS } from '../clinical/medicine/index.ts'
import { OXYGEN_CALCULATIONS } from '../clinical/oxygen/index.ts'
import { REASSESSMENT_CALCULATIONS } from '../clinical/reassessment/calculations.ts'
import { EXCHANGE_CALCULATIONS } from '../exchange/calculations.ts'
import { CONTINUOUS, continuous } from './continuous.ts'

const others = (calculations: readonly Calculation[]) =>
  calculations.filter(({ name }) => name !== CONTINUOUS)

/** Every calculation that can be asked for by name, subject by subject; no name stands twice. */
export const CALCULATIONS: readonly Calculation[] = [
  ...others(MEDICINE_CALCULATIONS),
  continuous,
  ...LUNG_FUNCTION_CALCULATIONS,
  ...ASSESSMENT_CALCULATIONS,
  ...others(AEROSOL_CALCULATIONS),
  ...OXYGEN_CALCULATIONS,
  ...REASSESSMENT_CALCULATIONS,
  ...TIMING_CALCULATIONS,
  ...EXCHANGE_CALCULATIONS,
]

/** The same, with those that answer by a formulary answering by this one. */
export function calculationsBy(formulary: Formulary): readonly Calculation[] {
  const own = formularyCalculations(formulary)
  return CALCULATIONS.map((calculation) => own.find(({ name }) => name === calculation.name) ?? calculation)
}
