import { describe, expect, it } from 'vitest'
import { counted, hoursText, inWords, listed } from './in-words.ts'

describe('counts in words', () => {
  it.each([
    [0, 'no'],
    [1, 'one'],
    [13, 'thirteen'],
    [20, 'twenty'],
    [21, 'twenty-one'],
    [99, 'ninety-nine'],
    [100, '100'],
    [2.5, '2.5'],
  ])('%d is %s', (count, words) => {
    expect(inWords(count)).toBe(words)
  })

  it('agree with what is counted', () => {
    expect([counted(1, 'visit'), counted(4, 'visit'), counted(0, 'dose')]).toEqual([
      'one visit',
      'four visits',
      'no doses',
    ])
  })
})

it('lists and lengths read as people say them', () => {
  expect([listed([]), listed(['a']), listed(['a', 'b']), listed(['a', 'b', 'c'])]).toEqual([
    '',
    'a',
    'a and b',
    'a, b and c',
  ])
  expect([hoursText(45), hoursText(60), hoursText(125.4)]).toEqual(['45 min', '1 h 00', '2 h 05'])
})
