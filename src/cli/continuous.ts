import { z } from 'zod'
import { AEROSOL_CALCULATIONS } from '../clinical/aerosol/index.ts'
import type { Calculation } from '../clinical/calculation.ts'
import { MEDICINE_CALCULATIONS } from '../clinical/medicine/index.ts'

export const CONTINUOUS = 'continuous'

function named(calculations: readonly Calculation[]): Calculation {
  const found = calculations.find(({ name }) => name === CONTINUOUS)
  if (!found) throw new Error(`no calculation is called ${CONTINUOUS}`)
  return found
}

const mixing = named(MEDICINE_CALCULATIONS)
const output = named(AEROSOL_CALCULATIONS)

/**
 * Two subjects speak of continuous nebulizing: what to mix and pump, and what a cup puts out. At the terminal they have
 * one name; the fields say which is asked, and where both could answer, what to mix comes first.
 */
export const continuous: Calculation = {
  name: CONTINUOUS,
  purpose: `${mixing.purpose} By quantity or from the strength in the cup: ${output.purpose}`,
  input: z.union([mixing.input, output.input]),
  run: (input) => (mixing.input.safeParse(input).success ? mixing : output).run(input),
}
