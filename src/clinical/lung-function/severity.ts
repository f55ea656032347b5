import { BadInput } from '../worked.ts'
import { bandOf } from './bands.ts'
import rules from './data/interpretation.json' with { type: 'json' }

/** Severity by z-score (Stanojevic 2022): normal from −1.645, mild from −2.5, moderate from −4, severe below. */
export function gradeByZ(z: number): string {
  return bandOf(rules.zSeverity.bands, 'z', z)
}

/**
 * Severity by FEV1 in percent of predicted (Pellegrino 2005): mild from 70, moderate 60, moderately severe 50,
 * severe 35, very severe below. Says nothing about whether a value is normal.
 * @throws BadInput for a percentage that is negative or not a number
 */
export function gradeByPercentPredicted(percent: number): string {
  if (!(percent >= 0)) throw new BadInput('percent', percent, 'a percentage of zero or more')
  return bandOf(rules.percentSeverity2005.bands, 'percent', percent)
}
