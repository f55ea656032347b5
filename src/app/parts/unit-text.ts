/** How UCUM codes are written for people; a code that is not here is shown as it is. */
const SHOWN: Readonly<Record<string, string>> = {
  '1': '',
  '%': '%',
  '/min': '/min',
  '{breaths}/min': '/min',
  '{beats}/min': '/min',
  Cel: '°C',
  K: 'K',
  'mm[Hg]': 'mmHg',
  'cm[H2O]': 'cmH₂O',
  '[psi]': 'psi',
  um: 'µm',
  ug: 'µg',
  'ug/min': 'µg/min',
  'mg/kg': 'mg/kg',
  'mg/h': 'mg/h',
  'mL/min': 'mL/min',
  'L/min': 'L/min',
  'mg/L': 'mg/L',
  '{score}': '',
  'kg/m2': 'kg/m²',
}

/** A UCUM code as it is shown on a screen. Annotations in braces are left out. */
export function unitText(ucum: string): string {
  return SHOWN[ucum] ?? ucum.replace(/\{[^}]*\}/g, '')
}
