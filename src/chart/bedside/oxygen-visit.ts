import type { Setup } from '../../clinical/aerosol/index.ts'
import {
  ADULT_RESERVOIR_ML,
  type InspiredOxygen,
  inspiredOxygen,
  whyNoOxygen,
} from '../../clinical/oxygen/index.ts'
import { BadInput, type Worked } from '../../clinical/worked.ts'
import type { Measurements } from '../facts/measurements.ts'
import type { SetUpChoice } from './set-up-choice.ts'

/** A figure, or why there is none. */
export type Known = { readonly worked: Worked } | { readonly why: string }

/**
 * Inspired oxygen during the run [%], always as a range: by driving gas, interface, tube, and the cannula that stays on
 * with the flow that was measured before. Only where the reckoning holds: no leak, adults where a cannula is on.
 */
export function oxygenVisit(choice: SetUpChoice, before: Measurements, setup: Setup): Known {
  const cannulaLPerMin = choice.cannulaStaysOn ? (before.spo2On?.flowLPerMin ?? null) : 0
  if (cannulaLPerMin === null) return { why: 'The flow of the cannula that stays on was not charted.' }
  const why = whyNoOxygen(choice.interface, cannulaLPerMin, setup.body.kind === 'child')
  if (why !== null) return { why }
  try {
    return {
      worked: inPercent(
        inspiredOxygen({
          breath: setup.breath,
          gas: setup.gas.kind,
          flowLPerMin: setup.gas.flowLPerMin,
          reservoirMl: setup.reservoirMl,
          cannulaLPerMin,
          anatomicMl: ADULT_RESERVOIR_ML,
        }).share,
      ),
    }
  } catch (error) {
    if (error instanceof BadInput) return { why: `${error.message}.` }
    throw error
  }
}

function inPercent(share: InspiredOxygen['share']): Worked {
  const { low, high } = share.spread ?? { low: share.value, high: share.value }
  return {
    ...share,
    value: 100 * share.value,
    unit: '%',
    spread: { low: 100 * low, high: 100 * high },
    steps: [...share.steps, `The middle of that range is ${(100 * share.value).toFixed(0)} %.`],
  }
}
