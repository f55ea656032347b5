import { expect, it } from 'vitest'
import { waitingWords } from './waiting-words.ts'

it.each([
  [{ waiting: 0, refused: [] }, 'all sent'],
  [{ waiting: 3, refused: [] }, '3 to send'],
  [{ waiting: 3, refused: [{}] }, '1 refused'],
] as const)('%j', (sending, words) => {
  expect(waitingWords(sending)).toBe(words)
})
