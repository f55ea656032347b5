import type { BodyOf } from '../../../chart/registry.ts'

type Outside = BodyOf<'outside-record-received'>
export type OutsideAdministration = Outside['administrations'][number]
export type OutsideObservation = Outside['observations'][number]

/** HL7 version 2, table 0322, completion status. From memory. */
const COMPLETION: Readonly<Record<string, string>> = {
  CP: 'given',
  PA: 'given in part',
  RE: 'refused',
  NA: 'not given',
}

/** HL7 version 2, table 0085, observation result status; F (final) goes without saying. From memory. */
const RESULT: Readonly<Record<string, string>> = {
  P: 'preliminary',
  R: 'not verified',
  C: 'corrected',
  D: 'deleted by the sender',
  W: 'sent as wrong',
  I: 'result pending',
}

/** HL7 version 2, table 0078, abnormal flags; N (normal) goes without saying. From memory. */
const FLAG: Readonly<Record<string, string>> = {
  L: 'low',
  H: 'high',
  LL: 'very low',
  HH: 'very high',
  A: 'abnormal',
  AA: 'very abnormal',
}

/** What was observed, as the other system said it. Without a value it was not obtained: never a zero. */
export function observedText({ value, said, unit, status, flag }: OutsideObservation): string {
  const found = value === null ? said.filter((text) => text.trim() !== '').join(', ') : String(value)
  if (found === '') return ['not obtained', inWords(RESULT, status, 'F', 'X')].filter(Boolean).join(' · ')
  const figure = unit === null || unit === '' ? found : `${found} ${unit}`
  return [figure, inWords(FLAG, flag, 'N'), inWords(RESULT, status, 'F')].filter(Boolean).join(' · ')
}

/** How much was given and what became of it, as the other system said it; what it did not say is named. */
export function administeredText({ amount, unit, status, reason }: OutsideAdministration): string {
  const dose = amount === null ? 'amount not said' : `${amount} ${unit ?? '(unit not said)'}`
  const became = status === null ? 'not said whether given' : (COMPLETION[status] ?? `status ${status}`)
  return [dose, became, reason].filter(Boolean).join(' · ')
}

/** A code in words, or the code itself where it has none; nothing for a code that goes without saying. */
function inWords(
  words: Readonly<Record<string, string>>,
  code: string | null,
  ...silent: readonly string[]
): string | null {
  if (code === null || code === '' || silent.includes(code)) return null
  return words[code] ?? `marked ${code}`
}
