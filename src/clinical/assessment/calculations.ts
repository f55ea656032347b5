import type { Calculation } from '../calculation.ts'
import { dyspnea, noise, plausibility, ranges, stopRules } from './bedside-calculations.ts'
import { asthma, news2, pram } from './score-calculations.ts'

/** Every calculation of bedside assessment that can be asked for by name. */
export const ASSESSMENT_CALCULATIONS: readonly Calculation[] = [
  news2,
  pram,
  asthma,
  stopRules,
  ranges,
  dyspnea,
  noise,
  plausibility,
]
