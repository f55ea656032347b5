import { requireWithin } from '../worked.ts'

/** What a rule can ask for by number: the unit it is in, what it can be at all (design rule), and how it is said. */
export const MEASURES = {
  heartRatePerMin: { unit: '/min', low: 0, high: 400, says: 'heart rate' },
  respiratoryRatePerMin: { unit: '/min', low: 0, high: 200, says: 'respiratory rate' },
  spo2Percent: { unit: '%', low: 0, high: 100, says: 'SpO2' },
  systolicMmHg: { unit: 'mm[Hg]', low: 0, high: 350, says: 'systolic pressure' },
  temperatureCel: { unit: 'Cel', low: 20, high: 46, says: 'temperature' },
  peakFlowLPerMin: { unit: 'L/min', low: 0, high: 1000, says: 'PEF' },
  peakFlowPercent: { unit: '%', low: 0, high: 300, says: 'PEF in percent of best or predicted' },
  fev1Ml: { unit: 'mL', low: 0, high: 12000, says: 'FEV1' },
  dyspnea0To10: { unit: '{score}', low: 0, high: 10, says: 'breathlessness' },
  paO2Kpa: { unit: 'kPa', low: 0, high: 100, says: 'arterial oxygen' },
  paCO2Kpa: { unit: 'kPa', low: 0, high: 40, says: 'arterial carbon dioxide' },
  paCO2MmHg: { unit: 'mm[Hg]', low: 0, high: 300, says: 'arterial carbon dioxide' },
  news2AtLeast: { unit: '{score}', low: 0, high: 20, says: 'NEWS2, as far as it is known' },
  news2Total: { unit: '{score}', low: 0, high: 20, says: 'NEWS2 total' },
  minutesUntilDoseAllowed: {
    unit: 'min',
    low: -100000,
    high: 100000,
    says: 'time until the next dose is allowed',
  },
  dayTotalWithThisDosePercent: {
    unit: '%',
    low: 0,
    high: 100000,
    says: 'total of the day with this dose, of its limit',
  },
} as const satisfies Record<
  string,
  { readonly unit: string; readonly low: number; readonly high: number; readonly says: string }
>

export type Measure = keyof typeof MEASURES
export const MEASURE_NAMES = Object.keys(MEASURES) as readonly Measure[]

/**
 * What was found at one moment. A measure that is absent was not measured; a sign that is absent was not looked for
 * (false: looked for, and not there). Absent is never zero and never "no".
 */
export type Snapshot = {
  readonly values: Partial<Readonly<Record<Measure, number>>>
  readonly signs: Readonly<Record<string, boolean>>
}

/** A unit as it is read aloud: "mmHg" for UCUM's "mm[Hg]". */
export function unitShown(unit: string): string {
  return unit.replace('mm[Hg]', 'mmHg').replace('Cel', '°C').replace('{score}', '').trim()
}

/**
 * Refuses figures that cannot be what they are called.
 * @throws OutsideValidity naming the measure
 */
export function requirePossible({ values }: Snapshot): void {
  for (const name of MEASURE_NAMES) {
    const value = values[name]
    const { low, high, unit } = MEASURES[name]
    if (value !== undefined) requireWithin(name, value, { low, high, unit: unitShown(unit) })
  }
}
