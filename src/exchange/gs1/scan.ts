import { hasCheckDigit } from './check-digit.ts'
import { GS, readElementString } from './element-string.ts'
import { isPreparationLabel } from './preparation-label.ts'

/** A scan of a medicine: what it names, or why it cannot be used. */
export type MedicineScan =
  | {
      readonly ok: true
      readonly gtin: string
      readonly lot: string | null
      readonly expiry: string | null
      readonly doubtful: boolean
    }
  | { readonly ok: false; readonly what: string }

/**
 * Reads what a scanner sent of a medicine: a GS1 element string, or a linear code with the product number alone (then
 * lot and expiry must be read off the pack). `substitute` is what this scanner sends in place of the separator.
 */
export function readMedicineScan(raw: string, today: string, substitute: string | null): MedicineScan {
  const text = withSeparators(raw, substitute)
  if (isPreparationLabel(text))
    return {
      ok: false,
      what: 'That is the label of a prepared cup. Scan the container that it was filled from.',
    }
  if (/^\d{12,14}$/.test(text)) {
    const gtin = text.padStart(14, '0')
    return hasCheckDigit(gtin)
      ? { ok: true, gtin, lot: null, expiry: null, doubtful: false }
      : { ok: false, what: `${text} fails its check digit: scan again or type what is printed` }
  }
  const read = readElementString(text, today)
  if (!read.ok) return { ok: false, what: `${read.what}. Scan again, or choose what is printed on it.` }
  const gtin = read.elements['01']
  if (gtin === undefined)
    return { ok: false, what: 'The code names no product. It is not the code of a medicine.' }
  const doubtful = read.doubtful.length > 0
  return {
    ok: true,
    gtin,
    lot: doubtful ? null : (read.elements['10'] ?? null),
    expiry: read.dates['17'] ?? null,
    doubtful,
  }
}

/** Reads a wristband: the patient's GSRN out of a GS1 code, or the hospital's own number as it is. */
export function readWristband(
  raw: string,
  today: string,
  substitute: string | null,
): { readonly value: string } | { readonly refused: string } {
  const text = withSeparators(raw.trim(), substitute)
  if (text === '') return { refused: 'Nothing was read.' }
  if (isPreparationLabel(text)) return { refused: 'That is the label of a prepared cup, not a wristband.' }
  if (/^\](d2|C1|Q3|e0)|^801[78]\d{18}/.test(text) || text.includes(GS)) {
    const read = readElementString(text, today)
    if (!read.ok) return { refused: read.what }
    const patient = read.elements['8018']
    if (patient !== undefined) return { value: patient }
    return {
      refused:
        read.elements['8017'] === undefined
          ? 'That is a product, not a wristband.'
          : 'That is a badge of staff, not a wristband.',
    }
  }
  return { value: text }
}

function withSeparators(raw: string, substitute: string | null): string {
  return substitute === null ? raw : raw.replaceAll(substitute, GS)
}
