import { hibcCheck } from './check-digit.ts'

export type HibcReading =
  | {
      readonly ok: true
      /** Four characters, the first a letter. */
      readonly labeler: string
      readonly product: string
      /** Level of packing: 0 is the single unit. */
      readonly unitOfMeasure: number
      readonly check: string
    }
  | {
      readonly ok: false
      readonly error: 'NOT_HIBC' | 'SECONDARY' | 'CHECK_CHARACTER'
      readonly what: string
    }

/**
 * Reads the primary part of a HIBC code: plus, labeler, product of 1 to 13 characters, unit digit, check character.
 * A secondary part (lot, expiry), alone or joined, is refused by name: it is not read here, and what it says has to
 * be read off the pack.
 * Source: hibcc.org, modulo 43; structure as in ANSI/HIBC 2.6 (from memory).
 */
export function readHibc(raw: string): HibcReading {
  if (/^\+(?:\$|\d{5})/.test(raw) || raw.slice(0, -1).includes('/')) {
    return {
      ok: false,
      error: 'SECONDARY',
      what: 'lot and expiry of a HIBC code are not read here: read them off the pack',
    }
  }
  const [, labeler, product, unit, check] =
    /^\+([A-Z][A-Z0-9]{3})([A-Z0-9]{1,13})(\d)([0-9A-Z\-. $/+%])$/.exec(raw) ?? []
  if (labeler === undefined || product === undefined || check === undefined) {
    return { ok: false, error: 'NOT_HIBC', what: `"${raw}" is not a HIBC code` }
  }
  const right = hibcCheck(raw.slice(0, -1))
  if (right !== check) {
    return {
      ok: false,
      error: 'CHECK_CHARACTER',
      what: `the check character is ${check}, it should be ${right}: scan again`,
    }
  }
  return { ok: true, labeler, product, unitOfMeasure: Number(unit), check }
}
