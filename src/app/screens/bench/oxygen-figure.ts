import { type InspiredOxygen, inspiredOxygen } from '../../../clinical/oxygen/inspired-oxygen.ts'
import { ADULT_RESERVOIR_ML, whyNoOxygen } from '../../../clinical/oxygen/known-for.ts'
import { BadInput, type Worked } from '../../../clinical/worked.ts'
import type { BenchPatient, BenchSetup } from './bench-state.ts'
import { lazyWorked } from './lazy-worked.ts'
import { refusalWords } from './refusal-words.ts'

/**
 * Inspired oxygen [%] with this set-up, or why there is no figure.
 */
export function oxygenFigure(
  setup: BenchSetup,
  patient: BenchPatient,
  needsGas: boolean,
): { readonly worked: Worked } | { readonly why: string } {
  const why = whyNoOxygen(setup.interface, patient.cannulaLPerMin, patient.weightKg !== null)
  if (why !== null) return { why }
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
      anatomicMl: ADULT_RESERVOIR_ML,
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
