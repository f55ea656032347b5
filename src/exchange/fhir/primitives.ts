/** An element's id, a resource's id, and so on: what FHIR R4 says of each primitive type (datatypes, section 2.24.0.1). */
const PATTERNS: Readonly<Record<string, RegExp>> = {
  code: /^[^\s]+(\s[^\s]+)*$/,
  id: /^[A-Za-z0-9.-]{1,64}$/,
  uri: /^\S+$/,
  url: /^\S+$/,
  canonical: /^\S+$/,
  oid: /^urn:oid:[0-2](\.(0|[1-9]\d*))+$/,
  uuid: /^urn:uuid:[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/,
  base64Binary: /^(\s*[0-9A-Za-z+/=]\s*)+$/,
  time: /^([01]\d|2[0-3]):[0-5]\d:([0-5]\d|60)(\.\d+)?$/,
}
const DATE = /^(\d{4})(?:-(0[1-9]|1[0-2])(?:-(0[1-9]|[12]\d|3[01]))?)?$/
const DATE_TIME =
  /^(\d{4}-\d{2}-\d{2})T(?:[01]\d|2[0-3]):[0-5]\d:(?:[0-5]\d|60)(?:\.\d+)?(Z|[+-](?:(?:0\d|1[0-3]):[0-5]\d|14:00))?$/
/** Texts hold no control characters but tab and line ends (section 2.24.0.1), and no halves of a character. */
const NO_TEXT = /[^\t\n\r\u0020-\u{10ffff}]|\p{Surrogate}/u
const LONGEST_TEXT = 1_048_576

/** Why a value is not of a primitive type, as a sentence without its subject; null when it is. */
export function whyNotPrimitive(type: string, value: unknown): string | null {
  switch (type) {
    case 'boolean':
      return typeof value === 'boolean' ? null : 'must be true or false'
    case 'decimal':
      return typeof value === 'number' && Number.isFinite(value) ? null : 'must be a number, not a text'
    case 'integer':
    case 'positiveInt':
    case 'unsignedInt':
      return whyNotWhole(type, value)
    default:
      return whyNotText(type, value)
  }
}

function whyNotWhole(type: string, value: unknown): string | null {
  const least = { positiveInt: 1, unsignedInt: 0 }[type] ?? -2_147_483_648
  const isIn =
    typeof value === 'number' && Number.isInteger(value) && value >= least && value <= 2_147_483_647
  return isIn ? null : `must be a whole number from ${least} up`
}

function whyNotText(type: string, value: unknown): string | null {
  if (typeof value !== 'string') return 'must be a text'
  if (value.trim() === '') return 'is empty'
  if (value.length > LONGEST_TEXT) return 'is longer than a text may be'
  if (NO_TEXT.test(value)) return 'holds a control character or half a character'
  switch (type) {
    case 'date':
      return isDate(value) ? null : 'is not a date of the calendar'
    case 'dateTime':
      return isDate(value) ? null : whyNotTime(value)
    case 'instant':
      return whyNotTime(value)
    default:
      return PATTERNS[type]?.test(value) === false ? `is not a ${type}` : null
  }
}

function isDate(text: string): boolean {
  const [, year, month, day] = DATE.exec(text) ?? []
  if (year === undefined) return false
  if (month === undefined || day === undefined) return true
  const date = new Date(`${text}T00:00:00Z`)
  return date.getUTCMonth() + 1 === Number(month) && date.getUTCDate() === Number(day)
}

function whyNotTime(text: string): string | null {
  const [, day, offset] = DATE_TIME.exec(text) ?? []
  if (day === undefined || !isDate(day)) return 'is not a time of the calendar'
  return offset === undefined ? 'has a time of day and no time zone' : null
}

/** Is this a type without parts of its own? */
export function isPrimitive(type: string): boolean {
  return /^[a-z]/.test(type)
}
