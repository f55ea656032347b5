import { expect, it } from 'vitest'
import { stillComingWords, waitingWords } from './waiting-words.ts'

it.each([
  [{ waiting: 0, refused: [], lacking: 0 }, 'all sent'],
  [{ waiting: 0, refused: [], lacking: null }, 'patients to come'],
  [{ waiting: 0, refused: [], lacking: 12 }, '12 patients to come'],
  [{ waiting: 0, refused: [], lacking: 1 }, '1 patient to come'],
  [{ waiting: 3, refused: [], lacking: 12 }, '3 to send'],
  [{ waiting: 3, refused: [{}], lacking: 0 }, '1 refused'],
] as const)('%j', (sending, words) => {
  expect(waitingWords(sending)).toBe(words)
})

it.each([
  [null, 'starting', /^Patients of the shift are still coming to this tablet\./],
  [1, 'live', /^1 patient of the shift is still coming to this tablet\./],
  [12, 'polling', /^12 patients of the shift are still coming to this tablet\./],
  [12, 'away', /^12 patients of the shift are not on this tablet, .* ask somebody else who is due\./],
  [12, 'locked', /^12 patients of the shift are not on this tablet, /],
] as const)('of %j lacking while the line is %s', (lacking, line, words) => {
  expect(stillComingWords(lacking, line)).toMatch(words)
  expect(stillComingWords(lacking, line)).toMatch(
    /of those who are here; a plan can be given out once all are\.$/,
  )
})
