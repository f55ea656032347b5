import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { SOURCES } from '../sources.ts'
import { measuredVolume } from './measured-volume.ts'
import { nearestMark, SYRINGES, syringesFor } from './nearest-mark.ts'

const named = (name: string) => {
  const found = SYRINGES.find((syringe) => syringe.name === name)
  if (!found) throw new Error(name)
  return found
}

describe('nearestMark', () => {
  it('shows what is drawn and by how much the dose is off, with the working', () => {
    const { measured, doseError, tooCoarse } = nearestMark(0.34, named('3 mL'))
    expect(measured.value).toBe(0.3)
    expect(measured.steps).toEqual(['0.34 mL on a 3 mL syringe with marks of 0.1 mL: 0.3 mL'])
    expect(doseError.value).toBeCloseTo(-11.7647, 4) // as the printed exercise on 1.7 mg from 5 mg/mL
    expect([measured.unit, doseError.unit]).toEqual(['mL', '%'])
    expect(measured.sources).toEqual([SOURCES['syringe-marks']])
    expect(doseError.sources).toEqual([SOURCES['syringe-marks'], SOURCES['syringe-limit']])
    expect(doseError.steps.at(-1)).toBe('(0.3 mL − 0.34 mL) ÷ 0.34 mL ≈ -11.7647 % of the dose')
    expect(tooCoarse).toBe(true)
    expect(measured.caution).toMatch(/-11.7647 % off, more than 5 %/)
  })

  it('is exact on a mark, and quiet about it', () => {
    const { measured, doseError, tooCoarse } = nearestMark(0.34, named('1 mL'))
    expect([measured.value, doseError.value, tooCoarse]).toEqual([0.34, 0, false])
    expect(measured).not.toHaveProperty('caution')
  })

  it('counts five percent as near enough, and a hair more as too coarse, to both sides', () => {
    expect(nearestMark(2, { ...named('5 mL'), graduationMl: 2.1 }).tooCoarse).toBe(false)
    expect(nearestMark(2, { ...named('5 mL'), graduationMl: 2.101 }).tooCoarse).toBe(true)
    expect(nearestMark(2, { ...named('5 mL'), graduationMl: 1.9 }).tooCoarse).toBe(false)
    expect(nearestMark(2, { ...named('5 mL'), graduationMl: 1.899 }).tooCoarse).toBe(true)
  })

  it('refuses what cannot be drawn', () => {
    expect(() => nearestMark(Number.NaN, named('1 mL'))).toThrow(/^volume is NaN/)
    expect(() => nearestMark(0, named('1 mL'))).toThrow(/^volume is 0/)
    expect(() => nearestMark(0.005, named('1 mL'))).toThrow(/more than half a mark of 0.01 mL/)
    expect(() => nearestMark(3.2, named('3 mL'))).toThrow(/at most the 3 mL that the syringe holds/)
  })

  it('agrees with the sum that starts from the dose, for any dose and strength', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 4000 }),
        fc.constantFrom(0.5, 1, 2.5, 5, 10),
        (thousandths, mgPerMl) => {
          const ml = thousandths / 1000
          for (const syringe of syringesFor(ml)) {
            const byVolume = nearestMark(ml, syringe)
            const byDose = measuredVolume(ml * mgPerMl, { as: 'mg/mL', mgPerMl }, syringe)
            expect(byVolume.measured.value).toBe(byDose.measured.value)
            expect(byVolume.doseError.value).toBeCloseTo(byDose.doseError.value, 9)
            expect(byVolume.tooCoarse).toBe(byDose.tooCoarse)
          }
        },
      ),
    )
  })
})

describe('syringesFor', () => {
  it('lists those that hold it and can show it, finest first', () => {
    const names = (ml: number) => syringesFor(ml).map(({ name }) => name)
    expect(names(0.005)).toEqual([])
    expect(names(0.03)).toEqual(['1 mL'])
    expect(names(0.5)).toEqual(['1 mL', '3 mL', '5 mL', '10 mL'])
    expect(names(1)).toEqual(['1 mL', '3 mL', '5 mL', '10 mL', '20 mL'])
    expect(names(1.001)).toEqual(['3 mL', '5 mL', '10 mL', '20 mL'])
    expect(names(20.5)).toEqual([])
  })
})
