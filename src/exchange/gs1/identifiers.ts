/** A GS1 application identifier that is read here: how long its value may be and what may stand in it. */
export type Identifier = {
  readonly ai: string
  readonly name: string
  readonly least: number
  readonly most: number
  readonly only: 'digits' | 'any of 82'
  /** The last digit is a check digit. */
  readonly checked?: boolean
  readonly date?: boolean
}

/**
 * The identifiers that a medicine, a wristband or a badge carries.
 * Source: GS1 Barcode Syntax Dictionary (gs1/gs1-syntax-dictionary, Apache-2.0).
 */
export const IDENTIFIERS: readonly Identifier[] = [
  { ai: '01', name: 'GTIN', least: 14, most: 14, only: 'digits', checked: true },
  { ai: '10', name: 'lot', least: 1, most: 20, only: 'any of 82' },
  { ai: '11', name: 'production date', least: 6, most: 6, only: 'digits', date: true },
  { ai: '17', name: 'expiry date', least: 6, most: 6, only: 'digits', date: true },
  { ai: '21', name: 'serial', least: 1, most: 20, only: 'any of 82' },
  { ai: '30', name: 'count', least: 1, most: 8, only: 'digits' },
  { ai: '7003', name: 'expiry date and time', least: 10, most: 10, only: 'digits' },
  { ai: '715', name: 'US NDC', least: 1, most: 20, only: 'any of 82' },
  // Company internal information: what stands there is agreed upon inside the hospital, and read by nobody else.
  { ai: '91', name: 'code of the preparation', least: 1, most: 90, only: 'any of 82' },
  { ai: '92', name: 'patient of the preparation', least: 1, most: 90, only: 'any of 82' },
  { ai: '93', name: 'order of the preparation', least: 1, most: 90, only: 'any of 82' },
  { ai: '94', name: 'use-by time of the preparation', least: 1, most: 90, only: 'any of 82' },
  { ai: '8017', name: 'GSRN of staff', least: 18, most: 18, only: 'digits', checked: true },
  { ai: '8018', name: 'GSRN of the patient', least: 18, most: 18, only: 'digits', checked: true },
  { ai: '8019', name: 'service instance', least: 1, most: 10, only: 'digits' },
]

/** Fixed-length identifiers need no separator after them. */
export function isFixed({ least, most }: Identifier): boolean {
  return least === most
}

/** What AI 10, 17, 21 and 30 belong to: without a GTIN they say nothing. */
export const NEEDS_GTIN: readonly string[] = ['10', '11', '17', '21', '30', '715']
