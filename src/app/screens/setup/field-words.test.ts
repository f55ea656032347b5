import { expect, it } from 'vitest'
import { fieldWords } from './field-words.ts'

it.each([
  ['maximumFillMl', 'Maximum fill (mL)'],
  ['ratedFlowLPerMin', 'Rated flow (L/min)'],
  ['changeEveryHours', 'Change every (h)'],
  ['litersPerPsi', 'Liters (per psi)'],
  ['minutes', 'Minutes'],
  ['time-critical', 'Time-critical'],
  ['use', 'Use'],
])('writes %s as %s', (field, words) => {
  expect(fieldWords(field)).toBe(words)
})
