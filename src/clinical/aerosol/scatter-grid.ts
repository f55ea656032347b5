import type { WeighedPoint } from './posterior.ts'

/** Scatter of run times: median 10 %, and 4 to 25 % in nine of ten; a design rule. */
const MEDIAN = 0.1
const SPREAD = 0.557

/** Scatters that are tried, with the logarithm of the prior chance of each; evenly apart in their logarithm. */
export type ScatterGrid = readonly {
  readonly z: number
  readonly scatter: number
  readonly logPrior: number
}[]

/** The scatter that lies `z` standard deviations from the median before any run was charted. */
export function scatterAt(z: number): number {
  return MEDIAN * Math.exp(SPREAD * z)
}

function gridOver(low: number, high: number, count: number): ScatterGrid {
  return Array.from({ length: count }, (_, i) => {
    const z = low + ((high - low) * i) / (count - 1)
    return { z, scatter: scatterAt(z), logPrior: -(z * z) / 2 }
  })
}

/** All that the prior holds: cut off nearer, the learned interval would miss the truth more often than it says. */
const REACH = 4
const COUNT = 17
export const PRIOR_SCATTERS = gridOver(-REACH, REACH, COUNT)

/** A grid over what the runs leave: four standard deviations to each side, and no narrower than the last step. */
export function refineScatters(grid: ScatterGrid, points: readonly WeighedPoint[]): ScatterGrid {
  const weights = weightsOf(grid, points)
  const mean = weights.reduce((sum, weight, i) => sum + weight * (grid[i]?.z ?? 0), 0)
  const square = weights.reduce((sum, weight, i) => sum + weight * ((grid[i]?.z ?? 0) - mean) ** 2, 0)
  const step = (grid[1]?.z ?? 0) - (grid[0]?.z ?? 0)
  const reach = REACH * Math.sqrt(square + (step * step) / 4)
  return gridOver(mean - reach, mean + reach, COUNT)
}

/** Each scatter with its share of the whole. */
export function scatterWeights(grid: ScatterGrid, points: readonly WeighedPoint[]): [number, number][] {
  const weights = weightsOf(grid, points)
  return grid.map(({ scatter }, i) => [scatter, weights[i] ?? 0])
}

function weightsOf(grid: ScatterGrid, points: readonly WeighedPoint[]): number[] {
  return grid.map((_, i) => points.reduce((sum, { parts }) => sum + (parts[i] ?? 0), 0))
}
