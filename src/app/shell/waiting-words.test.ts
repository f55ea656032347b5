import { expect, it } from 'vitest'
import { waitingWords } from './waiting-words.ts'

it.each([
  [{ waiting: 0, refused: [], lacking: 0 }, 'all sent'],
  [{ waiting: 0, refused: [], lacking: null }, 'all sent'],
  [{ waiting: 0, refused: [], lacking: 12 }, '12 patients to come'],
  [{ waiting: 3, refused: [], lacking: 12 }, '3 to send'],
  [{ waiting: 3, refused: [{}], lacking: 0 }, '1 refused'],
] as const)('%j', (sending, words) => {
  expect(waitingWords(sending)).toBe(words)
})
