import { BadInput } from '../../clinical/worked.ts'
import { readGs1Date } from './date.ts'
import { GS, readElementString } from './element-string.ts'

/** What the code on a prepared cup or syringe says. */
export type PreparationLabel = {
  /** Names the preparation: a new one of the same dose has another. */
  readonly labelCode: string
  /** The patient's record number. */
  readonly patient: string
  /** The number of the order with whoever placed it. */
  readonly order: string
  /** Not to be used from then on, an instant to the minute. */
  readonly useBy: string
}

/** Goes before the code, so that another hospital's internal data is not taken for ours. */
const OURS = 'MW1.'
/** Company internal identifiers hold so many characters (GS1 Barcode Syntax Dictionary: 91 to 99, X..90). */
const MOST = 90

/**
 * The code of a label as a GS1 element string in brackets, for a writer of GS1 DataMatrix. A preparation of the ward has
 * no trade item number, and lot, expiry and serial (10, 17, 21) may not stand without one; so it takes identifiers 91 to
 * 94, which GS1 leaves to the company. The patient's GSRN (8018) is not used: a label must never pass for a wristband.
 * @throws BadInput when a number is too long for the code
 */
export function writePreparationLabel({ labelCode, patient, order, useBy }: PreparationLabel): string {
  const time = useBy.slice(2, 16).replaceAll(/[-T:]/g, '')
  const elements = [
    ['91', `${OURS}${labelCode}`],
    ['92', encoded(patient)],
    ['93', encoded(order)],
    ['94', time],
  ] as const
  return elements
    .map(([ai, value]) => {
      if (value.length > MOST) throw new BadInput('label', value, `a number of at most ${MOST} characters`)
      return `(${ai})${value}`
    })
    .join('')
}

/** Reads what a scanner sent of a label, or says why it is none. `today` decides the century, YYYY-MM-DD. */
export function readPreparationLabel(
  raw: string,
  today: string,
  substitute: string | null,
): PreparationLabel | { readonly refused: string } {
  const read = readElementString(substitute === null ? raw : raw.replaceAll(substitute, GS), today)
  const [code, patient, order, time] = read.ok ? ['91', '92', '93', '94'].map((ai) => read.elements[ai]) : []
  if (!code?.startsWith(OURS) || patient === undefined || order === undefined || time === undefined) {
    return { refused: 'That is not the label of a cup or syringe prepared here.' }
  }
  const useBy = instant(time, today)
  const [who, what] = [decoded(patient), decoded(order)]
  if (useBy === null || who === null || what === null) {
    return { refused: 'The label is damaged or was misread. Scan it again, or type the code printed on it.' }
  }
  return { labelCode: code.slice(OURS.length), patient: who, order: what, useBy }
}

/** Whether a code is a label of ours, as far as its beginning tells. */
export function isPreparationLabel(raw: string): boolean {
  return raw
    .replace(/^\](d2|C1|Q3|e0)/, '')
    .replace(GS, '')
    .startsWith(`91${OURS}`)
}

/** What GS1 does not allow, and what the brackets mean, goes as percent and hexadecimal digits. */
function encoded(text: string): string {
  return encodeURIComponent(text).replaceAll(
    /[!'()*~]/g,
    (char) => `%${char.charCodeAt(0).toString(16).toUpperCase()}`,
  )
}

function decoded(value: string): string | null {
  try {
    return decodeURIComponent(value)
  } catch {
    return null
  }
}

function instant(time: string, today: string): string | null {
  const [, day = '', hour = '', minute = ''] = /^(\d{6})([01]\d|2[0-3])([0-5]\d)$/.exec(time) ?? []
  const date = readGs1Date(day, today)
  return 'date' in date && !day.endsWith('00') ? `${date.date}T${hour}:${minute}:00.000Z` : null
}
