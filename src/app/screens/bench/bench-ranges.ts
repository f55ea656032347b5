import { COVERED_BREATH } from '../../../clinical/aerosol/breath.ts'
import { COVERED_DISTANCE } from '../../../clinical/aerosol/interface.ts'
import { COVERED_CHILD_KG } from '../../../clinical/aerosol/lung.ts'
import { COVERED_SETUP } from '../../../clinical/aerosol/setup.ts'
import type { NumberRule } from '../../parts/number-rule.ts'

/** What a number on the bench may be: as far as its dial goes, and as far as a link may say. */
export type BenchRange = {
  readonly label: string
  readonly unit: string
  readonly low: number
  readonly high: number
  readonly step: number
}

const ends = ({ low, high }: { readonly low: number; readonly high: number }) => ({ low, high })

export const SETUP_RANGES = {
  fillMl: { label: 'Fill', unit: 'mL', ...ends(COVERED_SETUP.fillMl), step: 0.1 },
  flowLPerMin: { label: 'Flow', unit: 'L/min', ...ends(COVERED_SETUP.flowLPerMin), step: 0.5 },
  reservoirMl: { label: 'Reservoir tube', unit: 'mL', ...ends(COVERED_SETUP.reservoirMl), step: 10 },
  distanceCm: { label: 'Mask held off', unit: 'cm', ...ends(COVERED_DISTANCE), step: 0.5 },
} as const satisfies Record<string, BenchRange>

export const PATIENT_RANGES = {
  tidalMl: { label: 'Tidal volume', unit: 'mL', ...ends(COVERED_BREATH.tidalMl), step: 5 },
  ratePerMin: { label: 'Breaths', unit: 'a minute', ...ends(COVERED_BREATH.ratePerMin), step: 1 },
  /** From 2.5 : 1 to 1 : 6, inside what a breath may be. */
  outPerIn: { label: 'Breathes out', unit: '× as long as in', low: 0.4, high: 6, step: 0.1 },
  cannulaLPerMin: { label: 'Oxygen by cannula besides', unit: 'L/min', low: 0, high: 6, step: 0.5 },
  weightKg: { label: 'Weight', unit: 'kg', ...ends(COVERED_CHILD_KG), step: 0.5 },
  roomCel: { label: 'Room', unit: '°C', ...ends(COVERED_SETUP.temperatureCel), step: 1 },
  pressureKPa: { label: 'Air pressure', unit: 'kPa', low: 60, high: 110, step: 0.1 },
} as const satisfies Record<string, BenchRange>

/** The dose is entered by keypad, so that it can be small or large and is still exact to the microgram. */
export const DOSE_RULE: NumberRule = {
  name: 'Dose in the cup',
  unit: 'mg',
  decimals: 3,
  possible: { low: 0.001, high: 5000 },
  plausible: { low: 0.05, high: 300 },
}

/** Whether a number stands on one of the steps of its range; a dial could not show it otherwise. */
export function onStep(value: number, { low, step }: BenchRange): boolean {
  const steps = (value - low) / step
  return Math.abs(steps - Math.round(steps)) < 1e-6
}
