import { expect, it } from 'vitest'
import { runMutants } from '../support/mutants.ts'

it('2,000 damaged messages on a line and 2,000 damaged codes: each is kept and answered, or refused in words', () => {
  const { answered, unanswerable, read, refused } = runMutants(2000, 2000, 20260311)
  // A stray frame mark makes two frames of one message, so there are at least as many as were sent.
  expect(answered + unanswerable).toBeGreaterThanOrEqual(2000)
  expect(read + refused).toBe(2000)
  // The damage is neither so light nor so heavy that only one kind of outcome was tried.
  for (const some of [answered, unanswerable, read, refused]) expect(some).toBeGreaterThan(20)
})
