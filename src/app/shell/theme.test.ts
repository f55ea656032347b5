import { expect, it } from 'vitest'
import { themeAt } from './theme.ts'

it('follows the clock only when it is told to', () => {
  expect([0, 6, 7, 18, 19, 23].map((hour) => themeAt('by the clock', hour))).toEqual([
    'night',
    'night',
    'day',
    'day',
    'night',
    'night',
  ])
  expect([themeAt('day', 3), themeAt('night', 12)]).toEqual(['day', 'night'])
})
