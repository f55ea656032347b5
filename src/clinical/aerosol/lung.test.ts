import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import fits from './data/hinds.table.json' with { type: 'json' }
import table from './data/lung-by-size.table.json' with { type: 'json' }
import {
  ADULT_AIRWAYS,
  childAirways,
  type Deposition,
  depositionOfSize,
  inhalableShare,
  lungShare,
  type Route,
  regionalDeposition,
} from './lung.ts'
import { hindsFractions, stahlhofenThroat } from './lung-fits.ts'

const quiet = { route: 'mouth', tidalMl: 500, flowMlPerS: 250, airways: ADULT_AIRWAYS } as const

describe('one size', () => {
  it(`meets every row of: ${table.source}`, () => {
    const misses = table.rows.filter((row) => {
      const [route, tidalMl, rounded, um, ...told] = row as [Route, number, number, number, ...number[]]
      const flowMlPerS = rounded === 833.3 ? 2500 / 3 : rounded
      const ours = depositionOfSize(um, { route, tidalMl, flowMlPerS, airways: ADULT_AIRWAYS })
      const parts = [
        ours.nose,
        ours.mouthThroat,
        ours.bronchi,
        ours.bronchioles,
        ours.alveoli,
        1 - ours.exhaled,
      ]
      return parts.some((part, i) => !(Math.abs(part - (told[i] ?? Number.NaN)) < 0.0006))
    })
    expect(table.rows).toHaveLength(54)
    expect(misses).toEqual([])
  })
  it('puts a particle of density 3 and shape factor 1.5 where its own diffusion takes it', () => {
    const heavy = { densityGPerCm3: 3, shapeFactor: 1.5, ofAmbientAir: false }
    const apart = depositionOfSize(0.3, quiet, heavy).alveoli - depositionOfSize(0.3, quiet).alveoli
    expect(Math.abs(apart)).toBeGreaterThan(0.001)
    expect(inhalableShare(10)).toBeCloseTo(0.8379, 3)
  })
})

describe('lognormal droplets', () => {
  const plain = (mmadUm: number, gsd: number, breath: Parameters<typeof depositionOfSize>[1]): Deposition => {
    const sum = { nose: 0, mouthThroat: 0, bronchi: 0, bronchioles: 0, alveoli: 0, exhaled: 0 }
    let weights = 0
    for (let i = 0; i < 2000; i++) {
      const z = -5 + (i + 0.5) / 200
      const um = mmadUm * gsd ** z
      const weight = Math.exp(-(z * z) / 2)
      weights += weight
      const part = depositionOfSize(um, breath)
      for (const key of Object.keys(sum) as (keyof Deposition)[]) sum[key] += weight * part[key]
    }
    for (const key of Object.keys(sum) as (keyof Deposition)[]) sum[key] /= weights
    return sum
  }
  it.each([
    [3.5, 2, 'mouth'],
    [2, 1.7, 'mouth'],
    [4, 1.8, 'nose'],
    [4.7, 1.9, 'nose'],
  ] as const)('agree with two thousand sizes (%s um, %s, by %s)', (mmadUm, gsd, route) => {
    const ours = regionalDeposition({ mmadUm, gsd }, { ...quiet, route })
    const theirs = plain(mmadUm, gsd, { ...quiet, route })
    for (const key of Object.keys(theirs) as (keyof Deposition)[]) {
      expect(Math.abs(ours[key] - theirs[key])).toBeLessThanOrEqual(0.0005 * theirs[key])
    }
  })
  it('add up to one, stay within zero and one, and know no other numbers, over the whole space', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1, max: 10, noNaN: true }),
        fc.double({ min: 1.2, max: 3, noNaN: true }),
        fc.constantFrom('mouth' as const, 'nose' as const),
        fc.double({ min: 250, max: 2000, noNaN: true }),
        fc.double({ min: 50, max: 1500, noNaN: true }),
        (mmadUm, gsd, route, tidalMl, flowMlPerS) => {
          const parts = Object.values(
            regionalDeposition({ mmadUm, gsd }, { route, tidalMl, flowMlPerS, airways: ADULT_AIRWAYS }),
          )
          expect(parts.reduce((sum, part) => sum + part, 0)).toBeCloseTo(1, 10)
          for (const part of parts) expect(part >= 0 && part <= 1).toBe(true)
        },
      ),
    )
  })
  it('reach the lung less by nose than by mouth, and less when breathed in fast', () => {
    const droplets = { mmadUm: 4, gsd: 1.8 }
    const slow = lungShare(regionalDeposition(droplets, quiet))
    expect(lungShare(regionalDeposition(droplets, { ...quiet, route: 'nose' }))).toBeLessThan(slow / 2)
    expect(
      lungShare(regionalDeposition({ mmadUm: 8, gsd: 1.8 }, { ...quiet, flowMlPerS: 1000 })),
    ).toBeLessThan(slow)
  })
  it('a child of adult weight has adult airways, a smaller child narrower ones', () => {
    expect(childAirways(73)).toEqual(ADULT_AIRWAYS)
    expect(childAirways(20).narrowness).toBeGreaterThan(1)
    expect(childAirways(20).restMl).toBeLessThan(1000)
  })
})

describe('fits', () => {
  it(`meet every row of: ${fits.source}`, () => {
    const misses = fits.rows.filter(([um = 0, ...told]) => {
      const ours = hindsFractions(um)
      const parts = [ours.inhalable, ours.head, ours.tracheobronchial, ours.alveolar, ours.total]
      return parts.some((part, i) => !(Math.abs(part - (told[i] ?? Number.NaN)) < 0.00006))
    })
    expect(fits.rows).toHaveLength(18)
    expect(misses).toEqual([])
  })
  it('the throat of Stahlhofen and the chain agree within a factor of 1.7 from 5 to 10 um, quiet to light work', () => {
    for (const flowMlPerS of [250, 500, 833]) {
      for (let um = 5; um <= 10; um += 0.5) {
        const chain = depositionOfSize(um, { ...quiet, tidalMl: 750, flowMlPerS }).mouthThroat
        const ratio = chain / stahlhofenThroat(um, flowMlPerS)
        expect(ratio > 1 / 1.7 && ratio < 1.7).toBe(true)
      }
    }
  })
})

describe('refuses', () => {
  it.each([
    [{ ...quiet, tidalMl: 150 }, /breath.tidalMl is 150; allowed: 16/],
    [{ ...quiet, flowMlPerS: Number.NaN }, /flowMlPerS is NaN/],
    [{ ...quiet, route: 'ear' as never }, /route is ear; allowed: mouth, nose/],
  ])('a breath that is not covered', (breath, message) => {
    expect(() => regionalDeposition({ mmadUm: 3, gsd: 2 }, breath)).toThrow(message)
  })
  it('a weight or a size without meaning', () => {
    expect(() => childAirways(0)).toThrow(/body.weightKg is 0/)
    expect(() => depositionOfSize(Number.NaN, quiet)).toThrow(/diameterUm is NaN/)
    expect(() => hindsFractions(-1)).toThrow(/diameterUm is -1/)
    expect(() => stahlhofenThroat(5, 0)).toThrow(/flowMlPerS is 0/)
    expect(() =>
      depositionOfSize(5, quiet, { densityGPerCm3: 0, shapeFactor: 1, ofAmbientAir: false }),
    ).toThrow(/density/)
  })
})
