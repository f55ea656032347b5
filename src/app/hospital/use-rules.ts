import { useMemo } from 'react'
import type { NumberRule } from '../parts/number-rule.ts'
import type { RuleFor, RuleName } from '../screens/visit/number-rules.ts'

type Fixed = Omit<NumberRule, 'normal' | 'last'>

/**
 * What each figure is called, its unit, what it can be at all and what is plausible for an adult. Possible ends are
 * those of the record's own schema; plausible ends are common practice, no source.
 */
const RULES: Readonly<Record<RuleName, Fixed>> = {
  heartRatePerMin: {
    name: 'Heart rate',
    unit: '/min',
    decimals: 0,
    possible: { low: 0, high: 400 },
    plausible: { low: 35, high: 220 },
  },
  respiratoryRatePerMin: {
    name: 'Breaths',
    unit: '/min',
    decimals: 0,
    possible: { low: 0, high: 200 },
    plausible: { low: 6, high: 80 },
  },
  spo2Percent: {
    name: 'SpO2',
    unit: '%',
    decimals: 0,
    possible: { low: 0, high: 100 },
    plausible: { low: 70, high: 100 },
  },
  peakFlowLPerMin: {
    name: 'Peak flow',
    unit: 'L/min',
    decimals: 0,
    possible: { low: 0, high: 1000 },
    plausible: { low: 60, high: 800 },
  },
  dyspnea0To10: {
    name: 'Dyspnea',
    unit: 'of 10',
    decimals: 0,
    possible: { low: 0, high: 10 },
    plausible: { low: 0, high: 10 },
  },
  systolicMmHg: {
    name: 'Systolic pressure',
    unit: 'mm Hg',
    decimals: 0,
    possible: { low: 0, high: 350 },
    plausible: { low: 60, high: 240 },
  },
  temperatureCel: {
    name: 'Temperature',
    unit: '°C',
    decimals: 1,
    possible: { low: 20, high: 46 },
    plausible: { low: 33, high: 42 },
  },
  flowLPerMin: {
    name: 'Oxygen flow',
    unit: 'L/min',
    decimals: 1,
    possible: { low: 0, high: 80 },
    plausible: { low: 0.1, high: 60 },
  },
  fio2Percent: {
    name: 'Oxygen',
    unit: '%',
    decimals: 0,
    possible: { low: 21, high: 100 },
    plausible: { low: 21, high: 100 },
  },
  leftMl: {
    name: 'Left in the cup',
    unit: 'mL',
    decimals: 2,
    possible: { low: 0, high: 500 },
    plausible: { low: 0, high: 500 },
  },
}

/** The rules of the keypad. */
export function useRules(): RuleFor {
  return useMemo(() => (name) => RULES[name], [])
}
