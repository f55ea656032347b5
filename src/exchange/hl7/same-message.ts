import type { Hl7Problem } from './problem.ts'

/** HL7 v2.5.1, chapter 2: a control id names one message of its sender. */
export const KEY_TAKEN: Hl7Problem = {
  code: '205',
  segment: 'MSH',
  sequence: 1,
  field: 10,
  what: 'another message came before under this control id; this one was kept and not used. Send it under a new one',
}

/** By what a message is kept whose own key is another's. */
export function ownKey(key: string | null, text: string): string {
  return `${key}|${text}`
}

/** Line ends may differ between two sendings of one message. */
export function sameText(one: string, other: string): boolean {
  const lines = (text: string) => text.split(/[\r\n]+/).filter((line) => line !== '')
  return JSON.stringify(lines(one)) === JSON.stringify(lines(other))
}
