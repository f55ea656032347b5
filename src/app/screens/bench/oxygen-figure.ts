import { type InspiredOxygen, inspiredOxygen } from '../../../clinical/oxygen/inspired-oxygen.ts'
import { BadInput, type Worked } from '../../../clinical/worked.ts'
import type { BenchPatient, BenchSetup } from './bench-state.ts'
import { lazyWorked } from './lazy-worked.ts'
import { refusalWords } from './refusal-words.ts'

/** Anatomic reservoir of an adult that a cannula fills [mL], as the oxygen room's own description has it. */
const ANATOMIC_ML = 50

/**
 * Inspired oxygen [%] with this set-up, or why there is no figure: only for a mouthpiece or a mask on the face, since
 * the reckoning knows no leak, and with a cannula only for adults, whose reservoir is published.
 */
export function oxygenFigure(
  setup: BenchSetup,
  patient: BenchPatient,
  needsGas: boolean,
): { readonly worked: Worked } | { readonly why: string } {
  const { interface: used } = setup
  if (used === 'in-line') return { why: 'The ventilator sets it.' }
  if (used !== 'mouthpiece' && used !== 'mask') {
    return { why: 'How much room air gets in beside it was not found published.' }
  }
  if (patient.cannulaLPerMin > 0 && patient.weightKg !== null) {
    return { why: 'With a cannula it is known for adults only.' }
  }
  try {
    const { share } = inspiredOxygen({
      breath: {
        tidalMl: patient.tidalMl,
        ratePerMin: patient.ratePerMin,
        inspiration: 1,
        expiration: patient.outPerIn,
      },
      gas: setup.gas,
      flowLPerMin: needsGas ? setup.flowLPerMin : 0,
      reservoirMl: setup.reservoirMl,
      cannulaLPerMin: patient.cannulaLPerMin,
      anatomicMl: ANATOMIC_ML,
    })
    return { worked: inPercent(share) }
  } catch (error) {
    if (error instanceof BadInput) return { why: refusalWords(error, '') }
    throw error
  }
}

function inPercent(share: InspiredOxygen['share']): Worked {
  const { low, high } = share.spread ?? { low: share.value, high: share.value }
  const shown = {
    value: 100 * share.value,
    unit: '%' as const,
    // Room air through and through has no ends to tell.
    ...(high > low && { spread: { low: 100 * low, high: 100 * high } }),
  }
  return lazyWorked(shown, () => ({
    ...share,
    steps: [
      ...share.steps,
      `Shown as the middle of that range: ${(100 * share.value).toFixed(0)} %. It is a range, never one figure: steer by the saturation that is wanted.`,
    ],
  }))
}
