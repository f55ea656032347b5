import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { BadInput, OutsideValidity } from '../../worked.ts'
import {
  above,
  equals,
  exact,
  figure,
  minus,
  nearestSteps,
  over,
  plus,
  positive,
  same,
  sum,
  times,
  toNumber,
  ZERO,
  zeroOrMore,
} from './exact.ts'

/** Decimals such as doses are written in: at most six places. */
const decimal = fc.integer({ min: 1, max: 10_000_000_000 }).map((millionths) => millionths / 1_000_000)

describe('exact', () => {
  it('holds decimals that binary fractions cannot', () => {
    expect(exact(0.1)).toEqual({ top: 1n, bottom: 10n })
    expect(exact(0.15)).toEqual({ top: 3n, bottom: 20n })
    expect(exact(1200)).toEqual({ top: 1200n, bottom: 1n })
    expect(exact(1.5e12)).toEqual({ top: 1_500_000_000_000n, bottom: 1n })
    expect(exact(-0.5)).toEqual({ top: -1n, bottom: 2n })
    expect(exact(0)).toEqual(ZERO)
  })
  it('lets no noise of an earlier sum decide a boundary', () => {
    expect(same(exact(0.1 + 0.2), exact(0.3))).toBe(true)
    expect(toNumber(times(exact(0.15), exact(12)))).toBe(1.8)
    expect(toNumber(times(exact(3), exact(0.1)))).toBe(0.3)
  })
  it('gives back every decimal it was given', () => {
    fc.assert(
      fc.property(decimal, (value) => {
        expect(toNumber(exact(value))).toBe(value)
      }),
    )
  })
})

describe('arithmetic', () => {
  it('adds, subtracts, multiplies and divides', () => {
    const [half, third] = [exact(0.5), over(exact(1), exact(3))]
    expect(plus(half, third)).toEqual({ top: 5n, bottom: 6n })
    expect(minus(half, third)).toEqual({ top: 1n, bottom: 6n })
    expect(minus(third, half)).toEqual({ top: -1n, bottom: 6n })
    expect(times(half, third)).toEqual({ top: 1n, bottom: 6n })
    expect(over(half, third)).toEqual({ top: 3n, bottom: 2n })
    expect(minus(half, half)).toEqual(ZERO)
    expect(sum([half, third, half])).toEqual({ top: 4n, bottom: 3n })
    expect(sum([])).toEqual(ZERO)
  })
  it('compares without rounding', () => {
    expect(above(exact(0.3), times(exact(3), exact(0.1)))).toBe(false)
    expect(above(exact(0.3000001), exact(0.3))).toBe(true)
    expect(above(exact(0.3), exact(0.3000001))).toBe(false)
    expect(same(over(exact(1), exact(3)), over(exact(2), exact(6)))).toBe(true)
    expect(same(exact(1), exact(2))).toBe(false)
    expect(same(over(exact(1), exact(3)), over(exact(1), exact(4)))).toBe(false)
    expect(same(over(exact(1), exact(3)), over(exact(2), exact(3)))).toBe(false)
  })
  it('undoes itself', () => {
    fc.assert(
      fc.property(decimal, decimal, (a, b) => {
        const [x, y] = [exact(a), exact(b)]
        expect(over(times(x, y), y)).toEqual(x)
        expect(minus(plus(x, y), y)).toEqual(x)
      }),
    )
  })
})

describe('nearestSteps', () => {
  const steps = (value: number, step: number) => toNumber(nearestSteps(exact(value), exact(step)))
  it.each([
    [0.34, 0.1, 3],
    [0.36, 0.1, 4],
    [0.24, 0.01, 24],
    [0.25, 0.1, 2], // as near to 0.3: the lower one
    [0.35, 0.1, 3],
    [0.2500001, 0.1, 3],
    [0.05, 0.1, 0],
    [0.0500001, 0.1, 1],
    [0.04, 0.1, 0],
    [3, 1, 3],
  ])('%s in marks of %s is %s marks', (value, step, count) => {
    expect(steps(value, step)).toBe(count)
  })
  it('is never further off than half a mark', () => {
    fc.assert(
      fc.property(decimal, fc.constantFrom(0.01, 0.02, 0.1, 0.2, 1), (value, step) => {
        const off = minus(times(nearestSteps(exact(value), exact(step)), exact(step)), exact(value))
        const half = over(exact(step), exact(2))
        expect(above(off, half) || above(minus(ZERO, half), off)).toBe(false)
      }),
    )
  })
})

describe('positive and zeroOrMore', () => {
  it.each([Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, -1, 0, -0])(
    'refuse %s',
    (given) => {
      expect(() => positive('dose', given, 'mg')).toThrow(BadInput)
      expect(() => positive('dose', given, 'mg')).toThrow(/^dose is .*; allowed: a finite number above zero$/)
    },
  )
  it('say outside of what they cover', () => {
    expect(() => positive('dose', 9e-10, 'mg')).toThrow(OutsideValidity)
    expect(() => positive('dose', 1.1e9, 'mg')).toThrow('dose is 1100000000; allowed: 1e-9 to 1000000000 mg')
  })
  it('take both ends', () => {
    expect(toNumber(positive('dose', 1e-9, 'mg'))).toBe(1e-9)
    expect(toNumber(positive('dose', 1e9, 'mg'))).toBe(1e9)
  })
  it('zeroOrMore takes zero and nothing below it', () => {
    expect(zeroOrMore('added', 0, 'mL')).toEqual(ZERO)
    expect(toNumber(zeroOrMore('added', 2.5, 'mL'))).toBe(2.5)
    expect(() => zeroOrMore('added', -0.1, 'mL')).toThrow(BadInput)
  })
})

describe('figures in steps', () => {
  it('have at most six digits and say when that is not all', () => {
    expect(figure(exact(2.5))).toBe('2.5')
    expect(figure(exact(200))).toBe('200')
    expect(figure(over(exact(2.5), exact(3)))).toBe('0.833333')
    expect(equals(exact(0.5))).toBe('= 0.5')
    expect(equals(over(exact(5.6), exact(22.5)))).toBe('≈ 0.248889')
  })
})
