import type { NumberRule } from '../../parts/number-rule.ts'

/** The figures that a visit enters, by the name of their field. */
export type RuleName =
  | 'heartRatePerMin'
  | 'respiratoryRatePerMin'
  | 'spo2Percent'
  | 'peakFlowLPerMin'
  | 'dyspnea0To10'
  | 'systolicMmHg'
  | 'temperatureCel'
  | 'flowLPerMin'
  | 'fio2Percent'
  | 'leftMl'

export type RuleFor = (name: RuleName) => NumberRule
