import { type Range, requireWithin } from '../worked.ts'
import { bandOf, bandStep } from './bands.ts'
import rules from './data/interpretation.json' with { type: 'json' }

/** What a share of predicted or best can be at all. Design rule. */
export const PERCENT_LIMITS: Range = { low: 0, high: 1000, unit: '%' }
/** Outside of this a z-score is taken for another figure. Design rule. */
const Z_LIMITS: Range = { low: -30, high: 30, unit: '' }

/**
 * Severity by z-score (Stanojevic 2022): normal from −1.645, mild from −2.5, moderate from −4, severe below.
 * @throws OutsideValidity for a z-score that cannot be one
 */
export function gradeByZ(z: number): string {
  requireWithin('z', z, Z_LIMITS)
  return bandOf(rules.zSeverity.bands, 'z', z)
}

/** The grade by z-score with the bounds it was held against, in words. */
export function gradeByZStep(z: number): string {
  return bandStep(rules.zSeverity.bands, `z ${z}`, gradeByZ(z))
}

/**
 * Severity by FEV1 in percent of predicted (Pellegrino 2005): mild from 70, moderate 60, moderately severe 50,
 * severe 35, very severe below. Says nothing about whether a value is normal.
 * @throws OutsideValidity for a percentage under 0 or over 1000
 */
export function gradeByPercentPredicted(percent: number): string {
  requireWithin('percent', percent, PERCENT_LIMITS)
  return bandOf(rules.percentSeverity2005.bands, 'percent', percent)
}

/** The grade by percent of predicted with the bounds it was held against, in words. */
export function gradeByPercentStep(percent: number): string {
  return bandStep(
    rules.percentSeverity2005.bands,
    `${percent} % of predicted`,
    gradeByPercentPredicted(percent),
  )
}
