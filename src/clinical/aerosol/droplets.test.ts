import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { countMedianUm, diameterAt, jetDroplets, massShareBelow, sizeByFlow } from './droplets.ts'
import { NORMAL_POINTS, normalBelow } from './normal.ts'

/** The plain way: the density of the mass by log size, added up in ten thousand slices. */
function integrated(mmadUm: number, gsd: number, um: number): number {
  const spread = Math.log(gsd)
  const from = Math.log(mmadUm) - 10 * spread
  const width = (Math.log(um) - from) / 10_000
  let sum = 0
  for (let i = 0; i < 10_000; i++) {
    const z = (from + (i + 0.5) * width - Math.log(mmadUm)) / spread
    sum += (Math.exp(-(z * z) / 2) / Math.sqrt(2 * Math.PI) / spread) * width
  }
  return sum
}

describe('lognormal droplets', () => {
  it('agree with a numerical integral of the density', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1, max: 10, noNaN: true }),
        fc.double({ min: 1.3, max: 3, noNaN: true }),
        fc.double({ min: 0.5, max: 12, noNaN: true }),
        (mmadUm, gsd, um) => {
          fc.pre(Math.log(um / mmadUm) > -8 * Math.log(gsd))
          expect(massShareBelow({ mmadUm, gsd }, um)).toBeCloseTo(integrated(mmadUm, gsd, um), 5)
        },
      ),
      { numRuns: 60 },
    )
  })
  it('give the count median as the mass median weighted by volume turned back', () => {
    // mean of d^-3 over the mass distribution, with the size that halves the count: by its own closed form
    expect(countMedianUm({ mmadUm: 3, gsd: 2 })).toBeCloseTo(0.7098, 3)
    expect(diameterAt({ mmadUm: 3, gsd: 2 }, 1)).toBeCloseTo(6, 12)
    expect(diameterAt({ mmadUm: 3, gsd: 2 }, -1)).toBeCloseTo(1.5, 12)
  })
  it('halve from 4 to 8 L/min and go on falling', () => {
    expect(sizeByFlow(8) / sizeByFlow(4)).toBeCloseTo(0.5, 12)
    expect(jetDroplets(12).mmadUm.likely).toBeLessThan(jetDroplets(8).mmadUm.likely)
    expect(jetDroplets(8).mmadUm).toEqual({ low: 2, likely: 3.5, high: 6 })
  })
  it('refuse sizes and spreads without meaning', () => {
    expect(() => massShareBelow({ mmadUm: Number.NaN, gsd: 2 }, 5)).toThrow(
      /mmadUm is NaN; allowed: 0.5 to 15 um/,
    )
    expect(() => massShareBelow({ mmadUm: 3, gsd: 1 }, 5)).toThrow(/gsd is 1; allowed: 1.05 to 4/)
    expect(() => massShareBelow({ mmadUm: 3, gsd: 2 }, 0)).toThrow(/diameterUm is 0/)
  })
})

describe('the normal', () => {
  it('has its textbook values', () => {
    expect(normalBelow(0)).toBeCloseTo(0.5, 7)
    expect(normalBelow(1.959964)).toBeCloseTo(0.975, 6)
    expect(normalBelow(-1)).toBeCloseTo(0.158655, 6)
  })
  it('is averaged exactly in its first moments by the points', () => {
    const mean = (f: (z: number) => number) =>
      NORMAL_POINTS.reduce((sum, { z, weight }) => sum + weight * f(z), 0)
    expect(mean(() => 1)).toBeCloseTo(1, 12)
    expect(mean((z) => z * z)).toBeCloseTo(1, 3)
    expect(mean((z) => Math.exp(0.5 * z))).toBeCloseTo(Math.exp(0.125), 4)
  })
})
