import { requireWithin } from '../worked.ts'

/** Fits of Hinds (HINDS_1999) for the average of people and activities, breathing mostly by nose. */
export type HindsFractions = {
  readonly inhalable: number
  readonly head: number
  readonly tracheobronchial: number
  readonly alveolar: number
  readonly total: number
}

/**
 * A curve to teach with. Not for a mouthpiece: at 5 um it puts 0.86 in the head where the mouth chain puts 0.17.
 * @throws OutsideValidity for a size outside 0.01 to 100 um
 */
export function hindsFractions(um: number): HindsFractions {
  requireWithin('diameterUm', um, { low: 0.01, high: 100, unit: 'um' })
  const ln = Math.log(um)
  const logistic = (x: number) => 1 / (1 + Math.exp(x))
  const inhalable = 1 - 0.5 * (1 - 1 / (1 + 0.00076 * um ** 2.8))
  return {
    inhalable,
    head: inhalable * (logistic(6.84 + 1.183 * ln) + logistic(0.924 - 1.885 * ln)),
    tracheobronchial:
      (0.00352 / um) * (Math.exp(-0.234 * (ln + 3.4) ** 2) + 63.9 * Math.exp(-0.819 * (ln - 1.61) ** 2)),
    alveolar:
      (0.0155 / um) * (Math.exp(-0.416 * (ln + 2.84) ** 2) + 19.11 * Math.exp(-0.482 * (ln - 1.362) ** 2)),
    total: inhalable * (0.0587 + 0.911 * logistic(4.77 + 1.485 * ln) + 0.943 * logistic(0.508 - 2.58 * ln)),
  }
}

/**
 * Share stopped in mouth and throat when breathing in by mouth (STAHLHOFEN_1989): 1 - 1 ÷ (3.5e-8 (d² Q)^1.7 + 1).
 * A second opinion on the chain; both are means over people who differ widely.
 * @throws OutsideValidity for a size or flow that is not covered
 */
export function stahlhofenThroat(um: number, flowMlPerS: number): number {
  requireWithin('diameterUm', um, { low: 0.5, high: 20, unit: 'um' })
  requireWithin('flowMlPerS', flowMlPerS, { low: 50, high: 2000, unit: 'mL/s' })
  return 1 - 1 / (3.5e-8 * (um * um * flowMlPerS) ** 1.7 + 1)
}
