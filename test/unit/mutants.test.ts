import { expect, it } from 'vitest'
import { runBundleMutants } from '../support/fhir-mutants.ts'
import { runMutants } from '../support/mutants.ts'

it('2,000 damaged messages on a line and 2,000 damaged codes: each is kept and answered, or refused in words', () => {
  const { answered, unanswerable, read, refused } = runMutants(2000, 2000, 20260311)
  // A stray frame mark makes two frames of one message, so there are at least as many as were sent.
  expect(answered + unanswerable).toBeGreaterThanOrEqual(2000)
  expect(read + refused).toBe(2000)
  // The damage is neither so light nor so heavy that only one kind of outcome was tried.
  for (const some of [answered, unanswerable, read, refused]) expect(some).toBeGreaterThan(20)
})

it('2,000 damaged FHIR bundles: each is kept to the byte, answered by the rules of FHIR, and answered alike again', () => {
  const { whole, part, refused, repeated, facts } = runBundleMutants(2000, 20260312)
  expect(whole + part + refused).toBe(2000)
  for (const some of [whole, part, refused]) expect(some).toBeGreaterThan(50)
  expect(repeated).toBeLessThan(500)
  expect(facts).toBeGreaterThan(2000)
})
