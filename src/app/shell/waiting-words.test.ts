import { expect, it } from 'vitest'
import { waitingWords } from './waiting-words.ts'

it.each([
  [{ waiting: 0, refused: [], line: 'live' }, 'all sent'],
  [{ waiting: 3, refused: [], line: 'live' }, '3 to send'],
  [{ waiting: 3, refused: [], line: 'away' }, 'no network · 3 to send'],
  [{ waiting: 0, refused: [], line: 'away' }, 'no network · all sent'],
  [{ waiting: 3, refused: [{}], line: 'away' }, '1 refused'],
] as const)('%j', (sending, words) => {
  expect(waitingWords(sending)).toBe(words)
})
