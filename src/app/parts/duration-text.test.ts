import { describe, expect, it } from 'vitest'
import { count, minutesInWords, minutesSeconds } from './duration-text.ts'

describe('lengths of time as text', () => {
  it.each([
    [0, '0:00', '0 seconds'],
    [7_999, '0:07', '7 seconds'],
    [60_000, '1:00', '1 minute'],
    [410_000, '6:50', '6 minutes 50 seconds'],
    [3_900_000, '65:00', '65 minutes'],
    [-5, '0:00', '0 seconds'],
  ])('%d ms', (ms, face, words) => {
    expect([minutesSeconds(ms), minutesInWords(ms)]).toEqual([face, words])
  })

  it('counts one and many', () => {
    expect([count(1, 'entry', 'entries'), count(0, 'entry', 'entries'), count(2, 'visit')]).toEqual([
      '1 entry',
      '0 entries',
      '2 visits',
    ])
  })
})
