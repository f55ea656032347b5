import { type Ends, JET_DROPLETS, JET_SPUTTER } from './cup-kinds.ts'
import { NORMAL_90 } from './normal.ts'

/** What is learned about one model of cup: droplets [g/min at 8 L/min] and volume at the first sputter [mL]. */
export type CupPoint = readonly [dropletGPerMin: number, sputterMl: number]

/**
 * The published spread as a distribution: median at likely, 5th and 95th percentile at low and high, normal in the
 * logarithm on each side. This is its value `z` standard deviations from the median.
 */
export function valueAt(ends: Ends, z: number): number {
  return ends.likely * Math.exp(spreadOn(ends, z >= 0) * z)
}

function spreadOn(ends: Ends, upper: boolean): number {
  return Math.log(upper ? ends.high / ends.likely : ends.likely / ends.low) / NORMAL_90
}

/** Logarithm of the density of that distribution at a value, up to a constant; no chance at or below zero. */
function logDensity(ends: Ends, value: number): number {
  if (!(value > 0)) return -Infinity
  const ln = Math.log(value / ends.likely)
  const spread = spreadOn(ends, ln >= 0)
  return -((ln / spread) ** 2) / 2 - Math.log(spread * value)
}

/** Logarithm of the prior of a model of cup: rate and volume independent of each other. */
export function logPrior([dropletGPerMin, sputterMl]: CupPoint): number {
  return logDensity(JET_DROPLETS, dropletGPerMin) + logDensity(JET_SPUTTER, sputterMl)
}
