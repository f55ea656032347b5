import { describe, expect, it } from 'vitest'
import { Random } from './random.ts'

describe('repeatable random numbers', () => {
  it('are equal for equal seeds and differ otherwise', () => {
    const draw = (seed: number) => {
      const random = new Random(seed)
      return Array.from({ length: 20 }, () => random.bits())
    }
    expect(draw(5)).toEqual(draw(5))
    expect(draw(6)).not.toEqual(draw(5))
  })

  it('draws trials that fail before one succeeds as often as the geometric law says', () => {
    // Mean (1 − p)/p, and P(0) = p: the geometric distribution counted from zero (textbook).
    const random = new Random(3)
    const draws = Array.from({ length: 20_000 }, () => random.failures(0.1))
    const mean = draws.reduce((sum, value) => sum + value, 0) / draws.length
    const none = draws.filter((value) => value === 0).length / draws.length
    expect(mean).toBeGreaterThan(8.7) // 9 ± 4.5 standard errors of √90/√20000
    expect(mean).toBeLessThan(9.3)
    expect(Math.abs(none - 0.1)).toBeLessThan(0.01)
  })

  it('never succeeds without a chance', () => {
    expect(new Random(1).failures(0)).toBeGreaterThan(100_000_000)
    expect(new Random(1).failures(1)).toBe(0)
  })
})
