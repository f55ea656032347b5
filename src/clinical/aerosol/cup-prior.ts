import { type Ends, JET_DROPLETS, JET_SPUTTER } from './cup-kinds.ts'
import { NORMAL_90 } from './normal.ts'

/**
 * Droplet rate and sputter volume as two standard normal numbers, so that the published spread is the prior:
 * median at likely, 5th and 95th percentile at low and high, straight in the logarithm on each side.
 */
export function valueAt(ends: Ends, z: number): number {
  const side = z < 0 ? ends.likely / ends.low : ends.high / ends.likely
  return ends.likely * side ** (z / NORMAL_90)
}

/** What is learned about one model of cup: two numbers, each standard normal before any run was charted. */
export type CupPoint = readonly [dropletZ: number, sputterZ: number]

export function dropletGPerMinAt(point: CupPoint): number {
  return valueAt(JET_DROPLETS, point[0])
}

export function sputterMlAt(point: CupPoint): number {
  return valueAt(JET_SPUTTER, point[1])
}
