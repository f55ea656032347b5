import { BadInput, requireWithin, type Source, type Worked } from '../worked.ts'
import { type Band, bandOf, bandStep } from './bands.ts'
import rules from './data/interpretation.json' with { type: 'json' }
import type { MeterScale, PeakFlow } from './meter-scale.ts'
import { peakFlowPercent } from './predict-peak-flow.ts'
import { PERCENT_LIMITS } from './severity.ts'
import { LUNG_SOURCES } from './sources.ts'

/** What a peak flow is held against: the personal best if it is known, else the predicted value. */
export type PeakFlowBasis = {
  readonly personalBest?: PeakFlow | undefined
  readonly predicted?: PeakFlow | undefined
}

export const PEAK_FLOW_GUIDES = ['BTS_SIGN_ADULT', 'EPR3'] as const
export type PeakFlowGuide = (typeof PEAK_FLOW_GUIDES)[number]

export type PeakFlowStanding = {
  readonly name: string
  readonly basis: 'personal best' | 'predicted'
  readonly scale: MeterScale
  readonly percent: Worked<'%'>
  /** The name with the bounds that the percentage was held against. */
  readonly step: string
  /** The rule that gave the name. */
  readonly rule: Source
}

const { greenFromPercent, redBelowPercent: RED_BELOW_PERCENT } = rules.peakFlowZones

/**
 * Green, yellow or red: from 80 % of the basis green, below `redBelowPercent` red. A good zone never outranks a
 * severe sign in the patient.
 * @throws BadInput without a basis, or with a red limit that is not between 0 and 80; as `peakFlowPercent` else
 */
export function peakFlowZone(
  reading: PeakFlow,
  basis: PeakFlowBasis,
  redBelowPercent: number = RED_BELOW_PERCENT,
): PeakFlowStanding {
  if (!(redBelowPercent > 0 && redBelowPercent < greenFromPercent)) {
    throw new BadInput('redBelowPercent', redBelowPercent, `above 0 and below ${greenFromPercent}`)
  }
  const bands = [
    { name: 'green', from: greenFromPercent },
    { name: 'yellow', from: redBelowPercent },
    { name: 'red' },
  ]
  return standing(reading, basis, LUNG_SOURCES.EPR3_ZONES, bands)
}

/**
 * The band of an asthma attack by peak flow alone, under the named guide. Any severe sign outranks it.
 * @throws BadInput without a basis; as `peakFlowPercent` else
 */
export function peakFlowBand(
  reading: PeakFlow,
  basis: PeakFlowBasis,
  guide: PeakFlowGuide,
): PeakFlowStanding {
  return standing(reading, basis, GUIDE_SOURCES[guide], rules.peakFlowBands[guide].bands)
}

/**
 * The same from a percentage that was worked out elsewhere.
 * @throws OutsideValidity for a percentage under 0 or over 1000
 */
export function bandByPercent(percent: number, guide: PeakFlowGuide): string {
  requireWithin('percent', percent, PERCENT_LIMITS)
  return bandOf(rules.peakFlowBands[guide].bands, 'percent', percent)
}

/** The same with the bounds it was held against, in words. */
export function bandByPercentStep(percent: number, guide: PeakFlowGuide): string {
  return bandStep(rules.peakFlowBands[guide].bands, `${percent} %`, bandByPercent(percent, guide))
}

export const GUIDE_SOURCES = {
  BTS_SIGN_ADULT: LUNG_SOURCES.BTS_SIGN_2019,
  EPR3: LUNG_SOURCES.EPR3_BANDS,
} as const satisfies Record<PeakFlowGuide, Source>

function standing(
  reading: PeakFlow,
  { personalBest, predicted }: PeakFlowBasis,
  rule: Source,
  bands: readonly Band[],
): PeakFlowStanding {
  const of = personalBest ?? predicted
  if (!of) throw new BadInput('basis', undefined, 'a personal best or a predicted value')
  const { percent, scale } = peakFlowPercent(reading, of)
  requireWithin('percent', percent.value, PERCENT_LIMITS)
  const name = bandOf(bands, 'percent', percent.value)
  return {
    name,
    step: bandStep(bands, `${Number(percent.value.toFixed(2))} %`, name),
    basis: personalBest ? 'personal best' : 'predicted',
    scale,
    percent,
    rule,
  }
}
