import { describe, expect, it } from 'vitest'
import { BadInput, OutsideValidity, requirePositive, requireWithin } from './worked.ts'

describe('refusals name the field, what was given and what is allowed', () => {
  it.each([Number.NaN, Infinity, -Infinity, 14.99, 85.01])('refuses %s outside 15 to 85 a', (given) => {
    expect(() => requireWithin('age', given, { low: 15, high: 85, unit: 'a' })).toThrow(OutsideValidity)
  })
  it('accepts both ends', () => {
    const ages = { low: 15, high: 85, unit: 'a' }
    expect([15, 85].map((age) => requireWithin('age', age, ages))).toEqual([undefined, undefined])
  })
  it('says it in one sentence', () => {
    expect(() => requirePositive('flow', 0)).toThrow('flow is 0; allowed: a finite number above zero')
    expect(() => requireWithin('age', 130, { low: 3, high: 95, unit: 'a' })).toThrow(
      'age is 130; allowed: 3 to 95 a',
    )
  })
  it('carries the same as data', () => {
    let caught: unknown = null
    try {
      requirePositive('strength', -1)
    } catch (error) {
      caught = error
    }
    expect(caught).toBeInstanceOf(BadInput)
    expect(caught).toMatchObject({ field: 'strength', given: -1 })
  })
})
