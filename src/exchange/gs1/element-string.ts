import { hasCheckDigit } from './check-digit.ts'
import { type DateProblem, readGs1Date } from './date.ts'
import { IDENTIFIERS, type Identifier, isFixed, NEEDS_GTIN } from './identifiers.ts'

/** Group separator: what a scanner sends for FNC1 between elements. */
export const GS = '\u001d'

export type ElementProblem =
  | DateProblem
  | 'CHECK_DIGIT'
  | 'UNKNOWN_AI'
  | 'TOO_SHORT'
  | 'TOO_LONG'
  | 'EMPTY'
  | 'NOT_NUMERIC'
  | 'BAD_CHARACTER'
  | 'DUPLICATE_AI'
  | 'EXCLUSIVE_PAIR'
  | 'MISSING_GTIN'

export type ElementReading =
  | {
      readonly ok: true
      /** Values by application identifier. */
      readonly elements: Readonly<Record<string, string>>
      /** Dates among them, as YYYY-MM-DD, by identifier. */
      readonly dates: Readonly<Record<string, string>>
      /** Identifiers whose value looks as if a separator was lost: ask, do not split. */
      readonly doubtful: readonly string[]
    }
  | { readonly ok: false; readonly error: ElementProblem; readonly at: string; readonly what: string }

const CSET_82 = /^[!"%-?A-Z_a-z]*$/
/** Symbology identifiers that announce GS1 data: DataMatrix, GS1-128, QR, DataBar. */
const SYMBOLOGY = /^\](d2|C1|Q3|e0)/

/**
 * Reads a GS1 element string as a scanner sends it. An element of variable length ends at a separator or at the end; it
 * is never split by guess, even when it looks as if another identifier stood in it.
 * @param today decides the century of two-digit years, YYYY-MM-DD
 */
export function readElementString(raw: string, today: string): ElementReading {
  let rest = raw.replace(SYMBOLOGY, '')
  if (rest.startsWith(GS)) rest = rest.slice(1)
  const elements: Record<string, string> = {}
  const dates: Record<string, string> = {}
  if (rest === '') return refusal('EMPTY', '', 'there is nothing in the code')
  while (rest !== '') {
    const identifier = IDENTIFIERS.find(({ ai }) => rest.startsWith(ai))
    if (!identifier)
      return refusal(
        'UNKNOWN_AI',
        rest.slice(0, 4),
        `"${rest.slice(0, 4)}" begins no identifier that is read here`,
      )
    const taken = takeValue(identifier, rest.slice(identifier.ai.length))
    const problem = problemOf(identifier, taken.value, today)
    if (problem) return problem
    const before = elements[identifier.ai]
    if (before !== undefined && before !== taken.value) {
      return refusal(
        'DUPLICATE_AI',
        identifier.ai,
        `two different values of ${identifier.name}: ${before} and ${taken.value}`,
      )
    }
    elements[identifier.ai] = taken.value
    const date = identifier.date ? readGs1Date(taken.value, today) : null
    if (date && 'date' in date) dates[identifier.ai] = date.date
    rest = taken.rest
  }
  return together(elements, dates)
}

function takeValue(identifier: Identifier, rest: string): { value: string; rest: string } {
  const end = rest.indexOf(GS)
  const whole = end < 0 ? rest : rest.slice(0, end)
  if (!isFixed(identifier)) return { value: whole, rest: end < 0 ? '' : rest.slice(end + 1) }
  const value = whole.slice(0, identifier.most)
  const after = rest.slice(value.length)
  return { value, rest: after.startsWith(GS) ? after.slice(1) : after }
}

function problemOf(identifier: Identifier, value: string, today: string): ElementReading | null {
  const { ai, name, least, most, only } = identifier
  if (value === '') return refusal('EMPTY', ai, `${name} is empty`)
  if (only === 'digits' && !/^\d+$/.test(value))
    return refusal('NOT_NUMERIC', ai, `${name} is "${value}"; only digits may stand there`)
  if (value.length < least)
    return refusal('TOO_SHORT', ai, `${name} has ${value.length} characters; it needs ${least}`)
  if (value.length > most)
    return refusal('TOO_LONG', ai, `${name} has ${value.length} characters; at most ${most} may stand there`)
  if (only === 'any of 82' && !CSET_82.test(value))
    return refusal('BAD_CHARACTER', ai, `${name} holds a character that GS1 does not allow`)
  if (identifier.checked && !hasCheckDigit(value))
    return refusal(
      'CHECK_DIGIT',
      ai,
      `${name} ${value} fails its check digit: the code was misread or is wrong`,
    )
  if (identifier.date) {
    const date = readGs1Date(value, today)
    if ('error' in date) return refusal(date.error, ai, `${name} ${value} is not a date`)
  }
  return null
}

function together(elements: Record<string, string>, dates: Record<string, string>): ElementReading {
  if (elements['8017'] !== undefined && elements['8018'] !== undefined) {
    return refusal('EXCLUSIVE_PAIR', '8017', 'a code names staff or a patient, never both')
  }
  const orphan = NEEDS_GTIN.find((ai) => elements[ai] !== undefined)
  if (orphan !== undefined && elements['01'] === undefined)
    return refusal('MISSING_GTIN', orphan, 'lot, expiry or serial without the product they belong to')
  const doubtful = ['10', '21'].filter((ai) => /(17|11)\d{6}|01\d{14}/.test(elements[ai] ?? ''))
  return { ok: true, elements, dates, doubtful }
}

function refusal(error: ElementProblem, at: string, what: string): ElementReading {
  return { ok: false, error, at, what }
}
