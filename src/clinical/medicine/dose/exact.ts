import { OutsideValidity, requirePositive } from '../../worked.ts'

/**
 * A fraction of two whole numbers in lowest terms, the lower one above zero. Doses are compared with limits and
 * volumes with fills in these, so that 0.15 × 12 is 1.8 and never a hair less.
 */
export type Exact = { readonly top: bigint; readonly bottom: bigint }

/** What a dose, a volume or a strength may be at all. Far wider than any real one; it keeps slips of the unit out. */
const SANE = { low: 1e-9, high: 1e9 }

/**
 * A decimal number as an exact fraction, read to 12 significant digits: noise that an earlier sum in binary
 * fractions left in the last digits must not decide a boundary.
 */
export function exact(value: number): Exact {
  const [digits = '', exponent = '0'] = value.toExponential(11).split('e')
  const scale = Number(exponent) - 11
  const top = BigInt(digits.replace('.', ''))
  return scale < 0 ? lowest(top, 10n ** BigInt(-scale)) : lowest(top * 10n ** BigInt(scale), 1n)
}

/**
 * A number above zero as an exact fraction.
 * @throws BadInput for NaN, infinity, zero or less; OutsideValidity below 1e-9 or above 1e9
 */
export function positive(field: string, given: number, unit: string): Exact {
  requirePositive(field, given)
  if (given < SANE.low || given > SANE.high) throw new OutsideValidity(field, given, { ...SANE, unit })
  return exact(given)
}

/** As `positive`, and zero too. */
export function zeroOrMore(field: string, given: number, unit: string): Exact {
  return given === 0 ? ZERO : positive(field, given, unit)
}

export const ZERO: Exact = { top: 0n, bottom: 1n }

export function plus(a: Exact, b: Exact): Exact {
  return lowest(a.top * b.bottom + b.top * a.bottom, a.bottom * b.bottom)
}
export function minus(a: Exact, b: Exact): Exact {
  return lowest(a.top * b.bottom - b.top * a.bottom, a.bottom * b.bottom)
}
export function times(a: Exact, b: Exact): Exact {
  return lowest(a.top * b.top, a.bottom * b.bottom)
}
/** `a` ÷ `b`; `b` is above zero: every caller has refused the rest before. */
export function over(a: Exact, b: Exact): Exact {
  return lowest(a.top * b.bottom, a.bottom * b.top)
}

/** True when `a` is larger than `b`. */
export function above(a: Exact, b: Exact): boolean {
  return a.top * b.bottom > b.top * a.bottom
}
export function same(a: Exact, b: Exact): boolean {
  return a.top === b.top && a.bottom === b.bottom
}
export function sum(parts: readonly Exact[]): Exact {
  return parts.reduce(plus, ZERO)
}

/** How many whole steps come nearest to `a`; when two are equally near, the fewer (never more drug than asked). */
export function nearestSteps(a: Exact, step: Exact): Exact {
  const { top, bottom } = over(a, step)
  return { top: (2n * top + bottom - 1n) / (2n * bottom), bottom: 1n } // top ÷ bottom - 1/2, rounded up
}

export function toNumber(a: Exact): number {
  return Number(a.top) / Number(a.bottom)
}

/** The figure as it is written in a step: at most six significant digits, no trailing zeros. */
export function figure(a: Exact): string {
  return String(Number(toNumber(a).toPrecision(6)))
}

/** `= 0.5` where six digits say it all, `≈ 0.248889` where they do not. */
export function equals(a: Exact): string {
  const shown = figure(a)
  return `${same(exact(Number(shown)), a) ? '=' : '≈'} ${shown}`
}

function lowest(top: bigint, bottom: bigint): Exact {
  const shared = greatestShared(top < 0n ? -top : top, bottom)
  return { top: top / shared, bottom: bottom / shared }
}

function greatestShared(a: bigint, b: bigint): bigint {
  let [larger, smaller] = [a, b]
  while (smaller > 0n) [larger, smaller] = [smaller, larger % smaller]
  return larger
}
