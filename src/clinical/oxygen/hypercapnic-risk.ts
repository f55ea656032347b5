import { requireWithin, type Source } from '../worked.ts'
import { OXYGEN_SOURCES } from './sources.ts'

/** What decides about the gas that drives a nebulizer. */
export type GasQuestion = {
  /** COPD, severe obesity, neuromuscular or chest wall disease, or a carbon dioxide that was high before. */
  readonly atRisk: boolean
  readonly airSource: boolean
  readonly saturationPercent: number
  /** Oxygen that the patient is on now, by cannula. */
  readonly cannulaLPerMin: number
}

export type GasAdvice = {
  readonly gas: 'air' | 'oxygen'
  readonly targetSaturationPercent: readonly [low: number, high: number]
  /** Limit of one run with this gas; null where there is none. */
  readonly atMostMin: number | null
  /** Oxygen by cannula meanwhile, to hold the target; null where none is needed. */
  readonly cannulaLPerMin: readonly [low: number, high: number] | null
  /** Minutes after which blood gases are looked at again; null where this does not ask for it. */
  readonly recheckGasesMin: readonly [low: number, high: number] | null
  readonly because: readonly string[]
  readonly sources: readonly Source[]
}

export const RISK_TARGET_PERCENT = [88, 92] as const
export const OTHER_TARGET_PERCENT = [94, 98] as const
export const OXYGEN_DRIVEN_LIMIT_MIN = 6
const RISK_CANNULA_L_PER_MIN = [1, 6] as const
const RECHECK_MIN = [30, 60] as const

const { BTS_2017, BTS_2017_NEBULIZER, BARDSLEY_2018, EDWARDS_2012 } = OXYGEN_SOURCES

/**
 * Advice on the driving gas, the saturation to aim at, and the time limit. Advice, not an order: a person decides.
 * @throws OutsideValidity for a saturation outside 50 to 100 % or a cannula flow outside 0 to 15 L/min
 */
export function adviseGas(question: GasQuestion): GasAdvice {
  requireWithin('saturationPercent', question.saturationPercent, { low: 50, high: 100, unit: '%' })
  requireWithin('cannulaLPerMin', question.cannulaLPerMin, { low: 0, high: 15, unit: 'L/min' })
  if (!question.atRisk) return withoutRisk(question)
  return question.airSource ? airAtRisk(question) : oxygenAtRisk()
}

function airAtRisk({ saturationPercent, cannulaLPerMin }: GasQuestion): GasAdvice {
  const needsOxygen = cannulaLPerMin > 0 || saturationPercent < RISK_TARGET_PERCENT[0]
  return {
    gas: 'air',
    targetSaturationPercent: RISK_TARGET_PERCENT,
    atMostMin: null,
    cannulaLPerMin: needsOxygen ? RISK_CANNULA_L_PER_MIN : null,
    recheckGasesMin: RECHECK_MIN,
    because: [
      'Carbon dioxide may rise with oxygen: in a trial, oxygen-driven runs raised it by 3.3 mmHg more than air-driven ones, and 18 of 45 patients against none of 44 rose by 4 mmHg or more.',
      needsOxygen
        ? 'Oxygen by cannula goes on during the run, to hold 88 to 92 %; even so the share breathed in may be high.'
        : 'The saturation holds without added oxygen.',
    ],
    sources: [BTS_2017, BTS_2017_NEBULIZER, BARDSLEY_2018, EDWARDS_2012],
  }
}

function oxygenAtRisk(): GasAdvice {
  return {
    gas: 'oxygen',
    targetSaturationPercent: RISK_TARGET_PERCENT,
    atMostMin: OXYGEN_DRIVEN_LIMIT_MIN,
    cannulaLPerMin: null,
    recheckGasesMin: RECHECK_MIN,
    because: [
      `There is no air to drive it: oxygen, for at most ${OXYGEN_DRIVEN_LIMIT_MIN} minutes, then back to the oxygen from before.`,
      'Carbon dioxide was back at the level with air 15 minutes after an oxygen-driven run.',
    ],
    sources: [BTS_2017, BTS_2017_NEBULIZER, EDWARDS_2012],
  }
}

function withoutRisk({ saturationPercent, airSource, cannulaLPerMin }: GasQuestion): GasAdvice {
  const hypoxemic = saturationPercent < OTHER_TARGET_PERCENT[0]
  const gas = hypoxemic || !airSource || cannulaLPerMin > 0 ? 'oxygen' : 'air'
  return {
    gas,
    targetSaturationPercent: OTHER_TARGET_PERCENT,
    atMostMin: null,
    cannulaLPerMin: null,
    recheckGasesMin: null,
    because: [
      hypoxemic
        ? 'The saturation is below 94 % and carbon dioxide is not expected to rise: oxygen drives the cup.'
        : 'No risk of retaining carbon dioxide is known, and the saturation holds.',
    ],
    sources: [BTS_2017, BTS_2017_NEBULIZER],
  }
}
