import { expect, it } from 'vitest'
import { shown, sumShown } from './shown.ts'

it('shows so many decimals at most, with a true minus sign', () => {
  expect([shown(1.23456, 2), shown(1.5, 4), shown(-1.25, 1), shown(-0.4, 0), shown(0, 2)]).toEqual([
    '1.23',
    '1.5',
    '−1.3',
    '0',
    '0',
  ])
})
it('writes a sum as one would by hand, leaving out what is zero', () => {
  expect(
    sumShown([
      [-1.5, ''],
      [2, 'a'],
      [-0.25, 'b²'],
      [0, 'c'],
    ]),
  ).toBe('−1.5 + 2 × a − 0.25 × b²')
  expect(sumShown([[3, 'a']])).toBe('3 × a')
})
