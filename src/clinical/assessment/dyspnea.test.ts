import { describe, expect, it } from 'vitest'
import { BadInput, OutsideValidity } from '../worked.ts'
import { DYSPNEA_SCALES, dyspneaBand, dyspneaChange } from './dyspnea.ts'

describe('change of a rating: one point matters to patients (Ries 2005, Oxberry 2012)', () => {
  it.each([
    [4, 3, -1, 'better', true],
    [3, 4, 1, 'worse', true],
    [4, 4, 0, 'same', false],
    [4, 3.5, -0.5, 'better', false],
    [10, 0, -10, 'better', true],
  ] as const)('modified Borg %s to %s', (before, after, change, direction, reachesImportant) => {
    expect(dyspneaChange('modified Borg', before, after)).toMatchObject({
      change,
      direction,
      reachesImportant,
    })
  })
  it('numeric', () => {
    const { sources, ...rest } = dyspneaChange('numeric 0-10', 7, 5)
    expect(rest).toEqual({
      scale: 'numeric 0-10',
      change: -2,
      direction: 'better',
      reachesImportant: true,
      steps: ['5 − 7 = -2', '2 against the least change that matters, 1'],
    })
    expect(sources.map(({ key }) => key)).toEqual(['OXBERRY_2012'])
    expect(dyspneaChange('modified Borg', 7, 5).sources.map(({ key }) => key)).toEqual([
      'RIES_2005',
      'OXBERRY_2012',
    ])
  })
  it.each(DYSPNEA_SCALES)('%s: 0 to 10 and no further', (scale) => {
    for (const odd of [-1, 10.5, 11, Number.NaN]) {
      expect(() => dyspneaChange(scale, odd, 5)).toThrow(OutsideValidity)
      expect(() => dyspneaChange(scale, 5, odd)).toThrow('after')
    }
    expect(() => dyspneaChange(scale, 11, 5)).toThrow('before is 11; allowed: 0 to 10 (0 to 10)')
  })
  it('the half belongs to one scale only', () => {
    expect(() => dyspneaChange('numeric 0-10', 0.5, 1)).toThrow('before is 0.5; allowed: whole numbers')
    expect(() => dyspneaChange('modified Borg', 0.25, 1)).toThrow('allowed: whole numbers and halves')
    expect(() => dyspneaChange('modified Borg', 0.25, 1)).toThrow(BadInput)
  })
})

it.each([
  [0, 'none'],
  [1, 'mild'],
  [4, 'mild'],
  [5, 'moderate'],
  [8, 'moderate'],
  [9, 'severe'],
  [10, 'severe'],
])('a rating of %i is %s (Wysham 2015)', (rating, band) => {
  expect(dyspneaBand(rating)).toBe(band)
})
it('a band is of the numeric scale', () => {
  expect(() => dyspneaBand(4.5)).toThrow('rating is 4.5; allowed: whole numbers')
})
