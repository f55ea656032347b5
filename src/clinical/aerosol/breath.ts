import { requirePositive, requireWithin } from '../worked.ts'
import table from './data/breathing-patterns.table.json' with { type: 'json' }

/** One breath, again and again: half a sine in, half a sine out. */
export type BreathPattern = {
  readonly tidalMl: number
  readonly ratePerMin: number
  /** Parts of inspiration and expiration, as in 1 : 2. */
  readonly inspiration: number
  readonly expiration: number
}

export type PatternName = keyof typeof table.patterns

/** Presets by name; a preset is a place to start, the patient's own breath is better. */
export const BREATHING_PATTERNS: Readonly<Record<PatternName, BreathPattern>> = table.patterns

export const COVERED_BREATH = {
  tidalMl: { low: 15, high: 1500, unit: 'mL' },
  ratePerMin: { low: 5, high: 80, unit: '/min' },
  /** Inspiration as a share of the breath: 3 : 1 down to 1 : 6. */
  duty: { low: 1 / 7, high: 3 / 4, unit: '1' },
} as const

/** The same breath in seconds and mL/s. */
export type Breath = {
  readonly tidalMl: number
  readonly inS: number
  readonly outS: number
  readonly totalS: number
  readonly peakMlPerS: number
}

/**
 * @throws OutsideValidity or BadInput naming the field of the pattern that cannot be used
 */
export function breathOf(pattern: BreathPattern): Breath {
  requireWithin('breath.tidalMl', pattern.tidalMl, COVERED_BREATH.tidalMl)
  requireWithin('breath.ratePerMin', pattern.ratePerMin, COVERED_BREATH.ratePerMin)
  requirePositive('breath.inspiration', pattern.inspiration)
  requirePositive('breath.expiration', pattern.expiration)
  const duty = pattern.inspiration / (pattern.inspiration + pattern.expiration)
  requireWithin('breath.inspiration as a share of the breath', duty, COVERED_BREATH.duty)
  const totalS = 60 / pattern.ratePerMin
  const inS = totalS * duty
  const { tidalMl } = pattern
  return { tidalMl, inS, outS: totalS - inS, totalS, peakMlPerS: (Math.PI * tidalMl) / (2 * inS) }
}

/**
 * Volume of one inspiration that a steady flow can supply without a reservoir [mL]: the integral of the smaller
 * of the two flows. All of the breath when the steady flow is above the peak.
 */
export function suppliedMl(breath: Breath, flowMlPerS: number): number {
  if (flowMlPerS >= breath.peakMlPerS) return breath.tidalMl
  const aheadS = aheadOfNeedS(breath, flowMlPerS)
  const rising = breath.tidalMl * (1 - Math.cos((Math.PI * aheadS) / breath.inS))
  return rising + flowMlPerS * (breath.inS - 2 * aheadS)
}

/** Time from the start of inspiration until the breath needs more than this flow [s]. */
export function aheadOfNeedS(breath: Breath, flowMlPerS: number): number {
  return (breath.inS / Math.PI) * Math.asin(Math.min(1, flowMlPerS / breath.peakMlPerS))
}

/** Share of what a steady cup puts out that is breathed in, without a reservoir tube. */
export function shareWithoutTube(breath: Breath, flowMlPerS: number): number {
  return suppliedMl(breath, flowMlPerS) / (flowMlPerS * breath.totalS)
}
