import { z } from 'zod'
import { AEROSOL_CALCULATIONS } from '../clinical/aerosol/index.ts'
import type { Calculation } from '../clinical/calculation.ts'
import { MEDICINE_CALCULATIONS } from '../clinical/medicine/index.ts'
import { BadInput } from '../clinical/worked.ts'

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
 * one name; the fields say which is asked. Where both can answer, what to mix comes first, and the figures of the cup
 * stand beside it under `quantities`.
 */
export const continuous: Calculation = {
  name: CONTINUOUS,
  purpose: `${mixing.purpose} By quantity or from the strength in the cup: ${output.purpose}`,
  input: z.union([mixing.input, output.input]),
  run: (input) => {
    if (!mixing.input.safeParse(input).success) return output.run(input)
    const mixed = mixing.run(input)
    const sent = ofTheCup(input)
    if (sent === null) return mixed
    return {
      result: { ...(mixed.result as object), quantities: sent.result },
      working: {
        steps: [...mixed.working.steps, ...sent.working.steps],
        sources: [...mixed.working.sources, ...sent.working.sources],
        cautions: [...mixed.working.cautions, ...sent.working.cautions],
      },
    }
  },
}

/** What the cup says of the same fields; null where they are not enough for it, or beyond what it covers. */
function ofTheCup(input: unknown): ReturnType<Calculation['run']> | null {
  const read = output.input.safeParse(input)
  if (!read.success) return null
  try {
    return output.run(read.data)
  } catch (error) {
    if (error instanceof BadInput) return null
    throw error
  }
}
