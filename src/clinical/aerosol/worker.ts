import type { Droplets } from './droplets.ts'
import { ADULT_AIRWAYS, type Deposition, type Particle, regionalDeposition } from './lung.ts'

export const REGIONS = ['ET1', 'ET2', 'BB', 'bb', 'AI'] as const
export type Region = (typeof REGIONS)[number]

/** How ICRP 66 spreads the sizes of dust at a workplace around its median, written as there. */
export const GSD_RULE = '1+1.5*(1-1/(100*d^1.5+1))'

/** The spread of GSD_RULE for a median `um`. */
export function gsdOfWorkplace(um: number): number {
  return 1 + 1.5 * (1 - 1 / (100 * um ** 1.5 + 1))
}

/** A shift of the reference worker: hours, and breath by nose, sitting and in light work. */
const SHIFT = [
  { hours: 2.5, m3PerH: 0.54, tidalMl: 750, flowMlPerS: 300 },
  { hours: 5.5, m3PerH: 1.5, tidalMl: 1250, flowMlPerS: 2500 / 3 },
] as const

/**
 * Share of the dust in the air breathed during a shift that lands in each region (ICRP_66): the published table by
 * which the chain is checked.
 */
export function workerDeposition(
  dust: Droplets,
  densityGPerCm3: number,
  shapeFactor: number,
): Record<Region, number> {
  const particle: Particle = { densityGPerCm3, shapeFactor, ofAmbientAir: true }
  const air = SHIFT.reduce((sum, { hours, m3PerH }) => sum + hours * m3PerH, 0)
  const sum = { ET1: 0, ET2: 0, BB: 0, bb: 0, AI: 0 }
  for (const { hours, m3PerH, tidalMl, flowMlPerS } of SHIFT) {
    const weight = (hours * m3PerH) / air
    const breath = { route: 'nose', tidalMl, flowMlPerS, airways: ADULT_AIRWAYS } as const
    add(sum, regionalDeposition(dust, breath, particle), weight)
  }
  return sum
}

function add(sum: Record<Region, number>, deposition: Deposition, weight: number): void {
  sum.ET1 += weight * deposition.nose
  sum.ET2 += weight * deposition.mouthThroat
  sum.BB += weight * deposition.bronchi
  sum.bb += weight * deposition.bronchioles
  sum.AI += weight * deposition.alveoli
}
