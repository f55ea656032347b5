import { BadInput, type Source } from '../worked.ts'
import rules from './data/interpretation.json' with { type: 'json' }
import type { PeakFlow } from './meter-scale.ts'
import { READING_RANGE } from './meter-scale.ts'
import { shown } from './shown.ts'
import { LUNG_SOURCES } from './sources.ts'

export const RESPONSE_RULES = ['ERS_ATS_2022', 'ATS_ERS_2005', 'PEF_RESPONSE'] as const
export type ResponseRule = (typeof RESPONSE_RULES)[number]

/** What one rule says. Two rules in force may disagree: both are shown, each by its name, never a bare "positive". */
export type ResponseVerdict = {
  readonly rule: ResponseRule
  /** Null when the rule could not be run; `why` then says what is missing. */
  readonly positive: boolean | null
  readonly why: string
  readonly source: Source
}

export type VolumeResponse = {
  readonly parameter: 'FEV1' | 'FVC'
  readonly changeMl: number
  readonly percentOfBaseline: number
  readonly percentOfPredicted: number | null
  readonly verdicts: readonly ResponseVerdict[]
  readonly cautions: readonly string[]
}

export type VolumesBeforeAndAfter = {
  readonly parameter: 'FEV1' | 'FVC'
  readonly beforeMl: number
  readonly afterMl: number
  /** Needed by the rule of 2022; rounded to whole milliliters. */
  readonly predictedMl?: number | undefined
}

const { ofPredicted2022, ofBaseline2005, peakFlow } = rules.response
const MOST_ML = 12_000

/**
 * Response to a bronchodilator by both rules in force. All comparisons in whole milliliters: 2.00 to 2.24 L with
 * 2.40 L predicted is exactly 12 % of baseline (positive by the rule of 2005) and exactly 10 % of predicted (not
 * positive by the rule of 2022, which wants more).
 * @throws BadInput for a volume that is not a whole number of milliliters between 1 and 12 000
 */
export function volumeResponse(given: VolumesBeforeAndAfter): VolumeResponse {
  const { parameter, beforeMl, afterMl } = given
  requireMl('beforeMl', beforeMl)
  requireMl('afterMl', afterMl)
  const predictedMl = given.predictedMl === undefined ? null : Math.round(given.predictedMl)
  if (predictedMl !== null) requireMl('predictedMl', predictedMl)
  const changeMl = afterMl - beforeMl
  return {
    parameter,
    changeMl,
    percentOfBaseline: (100 * changeMl) / beforeMl,
    percentOfPredicted: predictedMl === null ? null : (100 * changeMl) / predictedMl,
    verdicts: [byPredicted2022(changeMl, predictedMl), byBaseline2005(changeMl, beforeMl)],
    cautions: [GINA_KEEPS_2005],
  }
}

const GINA_KEEPS_2005 = 'For the diagnosis of asthma, GINA 2024 keeps the rule of 12 % and 200 mL.'

function requireMl(field: string, given: number): void {
  const usable = Number.isInteger(given) && given >= 1 && given <= MOST_ML
  if (!usable) throw new BadInput(field, given, `a whole number of mL, 1 to ${MOST_ML}`)
}

function byPredicted2022(changeMl: number, predictedMl: number | null): ResponseVerdict {
  const rule = { rule: 'ERS_ATS_2022', source: LUNG_SOURCES.ERS_ATS_2022 } as const
  const limit = ofPredicted2022.abovePercentOfPredicted
  if (predictedMl === null) return { ...rule, positive: null, why: 'No predicted value.' }
  const positive = 100 * changeMl > limit * predictedMl
  const percent = shown((100 * changeMl) / predictedMl, 2)
  return {
    ...rule,
    positive,
    why: `${shown(changeMl, 0)} mL of ${predictedMl} mL predicted is ${percent} %; more than ${limit} % is wanted.`,
  }
}

function byBaseline2005(changeMl: number, beforeMl: number): ResponseVerdict {
  const { fromPercentOfBaseline, fromMl } = ofBaseline2005
  const percent = shown((100 * changeMl) / beforeMl, 2)
  return {
    rule: 'ATS_ERS_2005',
    positive: 100 * changeMl >= fromPercentOfBaseline * beforeMl && changeMl >= fromMl,
    why: `${shown(changeMl, 0)} mL is ${percent} % of ${beforeMl} mL; at least ${fromPercentOfBaseline} % and ${fromMl} mL are wanted.`,
    source: LUNG_SOURCES.ATS_ERS_2005,
  }
}

export type PeakFlowResponse = {
  readonly changeLPerMin: number
  readonly percentOfBaseline: number
  readonly verdict: ResponseVerdict
  readonly cautions: readonly string[]
}

/**
 * Change of peak flow after a treatment: a bedside trend, not a formal test. Both readings must be of one scale.
 * @throws BadInput for readings that are not whole L/min between 1 and 1000, or that are on two scales
 */
export function peakFlowResponse(before: PeakFlow, after: PeakFlow): PeakFlowResponse {
  for (const [field, { lPerMin }] of [['before', before] as const, ['after', after] as const]) {
    const usable = Number.isInteger(lPerMin) && lPerMin >= READING_RANGE.low && lPerMin <= READING_RANGE.high
    if (!usable) throw new BadInput(field, lPerMin, 'a whole number of L/min, 1 to 1000')
  }
  if (before.scale !== after.scale) {
    throw new BadInput('scale', `${before.scale} then ${after.scale}`, 'the same meter before and after')
  }
  const change = after.lPerMin - before.lPerMin
  const { fromPercentOfBaseline, fromLPerMin } = peakFlow
  const percent = (100 * change) / before.lPerMin
  return {
    changeLPerMin: change,
    percentOfBaseline: percent,
    verdict: {
      rule: 'PEF_RESPONSE',
      positive: 100 * change >= fromPercentOfBaseline * before.lPerMin || change >= fromLPerMin,
      why: `${shown(change, 0)} L/min is ${shown(percent, 2)} % of ${before.lPerMin} L/min; at least ${fromPercentOfBaseline} % or ${fromLPerMin} L/min is wanted.`,
      source: LUNG_SOURCES.BEL_2013,
    },
    cautions: ['A bedside trend, not a formal test: same meter, same scale, same posture.'],
  }
}
