import type { CurvePoint } from '../../../clinical/aerosol/forecast.ts'

/** A quantity over the run, as it is drawn: its name, unit, and where it is found in a moment. */
export type Quantity = {
  readonly name: string
  readonly unit: string
  readonly of: (moment: CurvePoint) => number | null
  /** The axis begins here, or at a round number below the least value where it is null. */
  readonly from: number | null
}

export const QUANTITIES: readonly Quantity[] = [
  { name: 'Medicine leaving the cup', unit: 'mg/min', of: (at) => at.leavesMgPerMin, from: 0 },
  { name: 'Strength in the cup', unit: 'times the start', of: (at) => at.concentrationRatio, from: 1 },
  { name: 'Temperature of the medicine', unit: '°C', of: (at) => at.cel, from: null },
  { name: 'Breathed in so far', unit: 'mg', of: (at) => at.inhaledMg, from: 0 },
]

/**
 * The value at a minute, by a straight line between the moments around it; null before the start, after the end, and
 * where the quantity is not known.
 */
export function valueAt(curve: readonly CurvePoint[], minutes: number, of: Quantity['of']): number | null {
  const next = curve.findIndex((moment) => moment.minutes >= minutes)
  const after = curve[next]
  if (!after) return null
  if (after.minutes === minutes) return of(after)
  const before = curve[next - 1]
  if (!before) return null
  const [from, to] = [of(before), of(after)]
  if (from === null || to === null) return null
  return from + ((minutes - before.minutes) / (after.minutes - before.minutes)) * (to - from)
}

/** The least of 1, 2, 2.5, 5 and 10 times a power of ten that is not below the value: where an axis may end. */
export function roundUp(value: number): number {
  if (!(value > 0)) return 1
  const power = 10 ** Math.floor(Math.log10(value))
  const step = [1, 2, 2.5, 5, 10].find((each) => each * power >= value * (1 - 1e-9)) ?? 10
  return Number((step * power).toPrecision(6))
}
