import fc from 'fast-check'
import { expect, it } from 'vitest'
import { LOWER_LIMIT_Z, lmsValue, lmsZ } from './lms.ts'

it('is the plain ratio for L = 1 and the logarithm for L = 0', () => {
  expect(lmsZ({ l: 1, m: 4, s: 0.1 }, 3)).toBeCloseTo(-2.5, 12)
  expect(lmsValue({ l: 1, m: 4, s: 0.1 }, -2.5)).toBeCloseTo(3, 12)
  expect(lmsZ({ l: 0, m: 4, s: 0.1 }, 4 * Math.exp(-0.2))).toBeCloseTo(-2, 12)
  expect(lmsValue({ l: 0, m: 4, s: 0.1 }, -2)).toBeCloseTo(4 * Math.exp(-0.2), 12)
})
it('has the median at zero and the fifth percentile at −1.645', () => {
  expect(lmsZ({ l: 1.2, m: 4, s: 0.1 }, 4)).toBe(0)
  expect(LOWER_LIMIT_Z).toBe(-1.645)
})
it('goes both ways, and passes smoothly through L = 0', () => {
  const lms = fc.record({
    l: fc.double({ min: -2, max: 3, noNaN: true }).filter((l) => l === 0 || Math.abs(l) > 1e-6),
    m: fc.double({ min: 0.3, max: 9, noNaN: true }),
    s: fc.double({ min: 0.03, max: 0.2, noNaN: true }),
  })
  fc.assert(
    fc.property(lms, fc.double({ min: -1.6, max: 1.6, noNaN: true }), (each, z) => {
      expect(lmsZ(each, lmsValue(each, z))).toBeCloseTo(z, 6)
      expect(lmsValue({ ...each, l: 1e-7 }, z)).toBeCloseTo(lmsValue({ ...each, l: 0 }, z), 5)
    }),
  )
})
