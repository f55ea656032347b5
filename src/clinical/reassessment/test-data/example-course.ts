import type { Course, Look, OrderInForce, PastTreatment } from '../course.ts'
import { reassess } from '../reassess.ts'
import type { SuggestionKind } from '../suggestion.ts'

/** Looks, treatments and an order to make courses of, and short ways to ask for one suggestion. */
export const HOUR = 3_600_000
export const NOW = Date.parse('2026-03-02T20:00:00Z')
export const hoursAgo = (hours: number) => new Date(NOW - hours * HOUR).toISOString()

export const clear: Look = {
  respiratoryRatePerMin: 16,
  spo2Percent: 96,
  moreOxygenThanUsual: false,
  workOfBreathing: 'easy',
  breathSounds: { 'right lower': ['clear'], 'left lower': ['clear'] },
  consciousness: 'alert',
  ability: 'follows with help',
}
export const wheezy: Look = {
  ...clear,
  respiratoryRatePerMin: 24,
  workOfBreathing: 'somewhat labored',
  breathSounds: { 'right lower': ['wheeze on breathing out'], 'left lower': ['clear'] },
  peakFlowLPerMin: [200],
}
export const unwell: Look = {
  ...wheezy,
  respiratoryRatePerMin: 28,
  workOfBreathing: 'labored',
  breathSounds: { 'right lower': ['wheeze both ways'], 'left lower': ['wheeze both ways'] },
}
export const order: OrderInForce = {
  title: 'Bronchodilator by nebulizer',
  kind: 'rescue bronchodilator',
  everyMinutes: 240,
  asNeeded: true,
  device: 'nebulizer with mask',
}
export const given = (
  hours: number,
  before: Look | null,
  after: Look | null = null,
  more: Partial<PastTreatment> = {},
) => ({
  at: hoursAgo(hours),
  prn: false,
  given: true,
  before,
  after,
  ...more,
})
export const course = (
  treatments: readonly PastTreatment[],
  change: Partial<OrderInForce> = {},
  ageYears = 60,
): Course => ({
  order: { ...order, ...change },
  ageYears,
  spo2TargetLowPercent: 92,
  now: hoursAgo(0),
  treatments,
})
export const suggestions = (...given: Parameters<typeof course>) => reassess(course(...given)).suggestions
export const find = (kind: SuggestionKind, ...given: Parameters<typeof course>) =>
  suggestions(...given).find((each) => each.kind === kind)
export const interval = (...given: Parameters<typeof course>) =>
  suggestions(...given).find(({ kind }) => /interval|often/.test(kind))

