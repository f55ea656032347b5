import type { Random } from '../engine/random.ts'

/** How far durations and walking times scatter about what is planned: coefficients of variation, lognormal. */
export type Scatter = {
  readonly durationCv: number
  readonly walkCv: number
  /** Coefficients of variation by kind of visit, where a department has measured them. */
  readonly durationCvByKind?: Readonly<Record<string, number>>
  /** What the planned duration is of the real ones; the mean unless said otherwise. */
  readonly planned?: 'mean' | 'median'
}

/** `common practice, no source`: used until a department has measured its own. */
export const USUAL_SCATTER: Scatter = { durationCv: 0.25, walkCv: 0.3 }

/** A random factor on a planned time. */
export type Factor = (random: Random) => number

/** A lognormal factor with the given coefficient of variation, and mean (or median) 1. */
export function lognormal(cv: number, planned: Scatter['planned'] = 'mean'): Factor {
  const sigma = Math.sqrt(Math.log(1 + cv * cv))
  const shift = planned === 'mean' ? (sigma * sigma) / 2 : 0
  return (random) => Math.exp(sigma * random.normal() - shift)
}
