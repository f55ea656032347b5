/**
 * The one type for every computed figure: the number, its unit, how it came about, where the formula is from,
 * and how far it may be trusted. A screen can always open it; a command can always print it.
 */

/** Where a formula, constant or table comes from: enough to find the very line again. */
export type Source = {
  readonly key: string
  readonly cite: string
  /** Table, equation, section or page. */
  readonly place?: string
  /**
   * How well it stands: read in the source; read in a text that quotes it; computed from stated definitions;
   * known but not looked up; a rule of thumb that has no source; a rule of this program.
   */
  readonly standing: Standing
}

export const STANDINGS = [
  'verified',
  'verified-secondary',
  'computed',
  'from memory',
  'common practice, no source',
  'design rule',
] as const
export type Standing = (typeof STANDINGS)[number]

/** Low and high end of what the science supports, same unit as the value. */
export type Spread = { readonly low: number; readonly high: number }

/** A number that can show how it came about. `unit` is a UCUM code. */
export type Worked<Unit extends string = string> = {
  readonly value: number
  readonly unit: Unit
  /** Each step in words, with the numbers in it. */
  readonly steps: readonly string[]
  readonly sources: readonly Source[]
  /** Present where the science supports a range rather than a point. */
  readonly spread?: Spread
  /** What the formula covers, in words. */
  readonly validity?: string
  readonly caution?: string
}

/** What an input may be, both ends included. */
export type Range = { readonly low: number; readonly high: number; readonly unit: string }

/**
 * Thrown when an input cannot be used: names the field, what was given (undefined where it is missing) and what is
 * allowed, as data, so that a form, a message or a command can each say it in their own way.
 */
export class BadInput extends Error {
  override readonly name: string = 'BadInput'
  readonly field: string
  readonly given: unknown
  readonly allowed: string
  constructor(field: string, given: unknown, allowed: string) {
    super(`${field} is ${given === undefined ? 'missing' : String(given)}; allowed: ${allowed}`)
    this.field = field
    this.given = given
    this.allowed = allowed
  }
}

/** Thrown when an input is a real number but lies outside what the source covers. */
export class OutsideValidity extends BadInput {
  override readonly name = 'OutsideValidity'
  readonly range: Range
  constructor(field: string, given: number, range: Range) {
    const unit = range.unit === '1' ? '' : range.unit // UCUM's one says nothing in words
    super(field, given, `${range.low} to ${range.high} ${unit}`.trim())
    this.range = range
  }
}

/**
 * Refuses a number outside a range (NaN and infinities included).
 * @throws OutsideValidity naming the field, the value and the range
 */
export function requireWithin(field: string, given: number, range: Range): void {
  const inside = given >= range.low && given <= range.high // false for NaN too
  if (!inside) throw new OutsideValidity(field, given, range)
}

/**
 * Refuses anything but a finite number above zero.
 * @throws BadInput naming the field and the value
 */
export function requirePositive(field: string, given: number): void {
  if (!(given > 0 && Number.isFinite(given))) throw new BadInput(field, given, 'a finite number above zero')
}
