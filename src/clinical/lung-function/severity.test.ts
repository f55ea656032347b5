import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { bandOf } from './bands.ts'
import { gradeByPercentPredicted, gradeByZ } from './severity.ts'

describe('severity has no gaps', () => {
  it.each([
    [2, 'normal'],
    [-1.645, 'normal'],
    [-1.645_000_001, 'mild'],
    [-2.5, 'mild'],
    [-2.500_001, 'moderate'],
    [-4, 'moderate'],
    [-4.000_001, 'severe'],
    [-4.05, 'severe'],
    [-9, 'severe'],
  ])('z = %s is %s (Stanojevic 2022)', (z, grade) => {
    expect(gradeByZ(z)).toBe(grade)
  })
  it('does not mind the last bits of a binary fraction', () => {
    expect(gradeByZ(-1.645 - 4e-10)).toBe('normal')
    expect(gradeByZ(-1.645 - 6e-10)).toBe('mild')
  })
  it.each([
    [120, 'mild'],
    [70, 'mild'],
    [69.9, 'moderate'],
    [60, 'moderate'],
    [59.9, 'moderately_severe'],
    [50, 'moderately_severe'],
    [49.9, 'severe'],
    [35, 'severe'],
    [34.9, 'very_severe'],
    [0, 'very_severe'],
  ])('%s %% of predicted is %s (Pellegrino 2005)', (percent, grade) => {
    expect(gradeByPercentPredicted(percent)).toBe(grade)
  })
  it.each([Number.NaN, Infinity, -Infinity])('refuses %s', (odd) => {
    expect(() => gradeByZ(odd)).toThrow(`z is ${odd}; allowed: -30 to 30`)
    expect(() => gradeByPercentPredicted(odd)).toThrow('percent')
  })
  it('refuses what can be no z-score and no percentage', () => {
    expect(() => gradeByZ(-30.1)).toThrow('z is -30.1')
    expect(gradeByZ(-30)).toBe('severe')
    expect(() => gradeByPercentPredicted(1000.1)).toThrow('percent is 1000.1')
    expect(() => gradeByPercentPredicted(-0.01)).toThrow('percent is -0.01; allowed: 0 to 1000 %')
  })
  it('names every finite number, and never a better grade for a lower one', () => {
    const order = ['severe', 'moderate', 'mild', 'normal']
    fc.assert(
      fc.property(
        fc.double({ min: -12, max: 6, noNaN: true }),
        fc.double({ min: 0, max: 3, noNaN: true }),
        (z, less) => {
          expect(order.indexOf(gradeByZ(z - less))).toBeLessThanOrEqual(order.indexOf(gradeByZ(z)))
          expect(order).toContain(gradeByZ(z))
        },
      ),
    )
  })
  it('tells "from" and "above" apart', () => {
    const bands = [{ name: 'high', above: 75 }, { name: 'middle', from: 50 }, { name: 'low' }]
    expect([75.1, 75, 50, 49.9].map((value) => bandOf(bands, 'value', value))).toEqual([
      'high',
      'middle',
      'middle',
      'low',
    ])
  })
})
