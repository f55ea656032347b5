import { describe, expect, it } from 'vitest'
import { rangeText, significant } from './figure-text.ts'
import { unitText } from './unit-text.ts'

describe('figures as text', () => {
  it.each([
    [0.19341, 2, '0.19'],
    [12.04, 2, '12'],
    [9.94, 2, '9.9'],
    [9.96, 2, '10'],
    [2500, 2, '2500'],
    [0.000123, 2, '0.00012'],
    [0, 2, '0'],
    [-1.64, 2, '-1.6'],
    [1, 3, '1'],
    [0.000000123, 2, '0.00000012'],
    [-0, 2, '0'],
  ])('%d in %i digits is %s', (value, digits, text) => {
    expect(significant(value, digits)).toBe(text)
  })

  it.each([Number.NaN, Number.POSITIVE_INFINITY])('refuses %s', (value) => {
    expect(() => significant(value, 2)).toThrow(RangeError)
  })

  it('writes units for people and keeps what it does not know', () => {
    expect(['Cel', '%', '1', '{breaths}/min', 'mL'].map(unitText)).toEqual(['°C', '%', '', '/min', 'mL'])
  })
})

describe('ranges as text', () => {
  it('name both ends, or nothing where they are shown alike', () => {
    expect(rangeText(8.94, 12.06, 2)).toBe('8.9 to 12')
    expect(rangeText(20.9, 21.2, 2)).toBeNull()
  })
})
