/** What a rule can ask for by number: the unit it is in, and how it is said. */
export const MEASURES = {
  heartRatePerMin: { unit: '/min', says: 'heart rate' },
  respiratoryRatePerMin: { unit: '/min', says: 'respiratory rate' },
  spo2Percent: { unit: '%', says: 'SpO2' },
  systolicMmHg: { unit: 'mm[Hg]', says: 'systolic pressure' },
  temperatureCel: { unit: 'Cel', says: 'temperature' },
  peakFlowLPerMin: { unit: 'L/min', says: 'PEF' },
  peakFlowPercent: { unit: '%', says: 'PEF in percent of best or predicted' },
  fev1Ml: { unit: 'mL', says: 'FEV1' },
  dyspnea0To10: { unit: '{score}', says: 'breathlessness' },
  paO2Kpa: { unit: 'kPa', says: 'arterial oxygen' },
  paCO2Kpa: { unit: 'kPa', says: 'arterial carbon dioxide' },
  paCO2MmHg: { unit: 'mm[Hg]', says: 'arterial carbon dioxide' },
  news2AtLeast: { unit: '{score}', says: 'NEWS2, as far as it is known' },
  news2Total: { unit: '{score}', says: 'NEWS2 total' },
  minutesUntilDoseAllowed: { unit: 'min', says: 'time until the next dose is allowed' },
  dayTotalWithThisDosePercent: { unit: '%', says: 'total of the day with this dose, of its limit' },
} as const satisfies Record<string, { readonly unit: string; readonly says: string }>

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
