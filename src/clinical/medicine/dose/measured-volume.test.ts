import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { measuredVolume } from './measured-volume.ts'

const FIVE = { as: 'mg/mL', mgPerMl: 5 } as const

describe('measuredVolume', () => {
  it('draws to the nearest mark and says what that does to the dose', () => {
    const draw = '1.7 mg ÷ 5 mg/mL = 0.34 mL'
    const nearest = 'nearest mark of 0.1 mL: 0.3 mL'
    const holds = '0.3 mL × 5 mg/mL = 1.5 mg'
    const caution =
      'the dose would be -11.7647 % off, more than 5 %: take a finer syringe or another strength'
    const definition = [expect.objectContaining({ key: 'definition' })]
    expect(measuredVolume(1.7, FIVE, { graduationMl: 0.1 })).toEqual({
      exact: { value: 0.34, unit: 'mL', steps: [draw], sources: definition },
      measured: { value: 0.3, unit: 'mL', steps: [draw, nearest], sources: definition, caution },
      measuredDose: { value: 1.5, unit: 'mg', steps: [draw, nearest, holds], sources: definition, caution },
      doseError: {
        value: -20 / 1.7,
        unit: '%',
        steps: [draw, nearest, holds, '(1.5 mg − 1.7 mg) ÷ 1.7 mg ≈ -11.7647 %'],
        sources: [expect.objectContaining({ standing: 'common practice, no source' })],
        caution,
      },
      tooCoarse: true,
    })
  })
  it('has no error on a mark', () => {
    const drawn = measuredVolume(1.2, FIVE, { graduationMl: 0.01 })
    expect(drawn).toMatchObject({ measured: { value: 0.24 }, doseError: { value: 0 }, tooCoarse: false })
    expect(drawn.measured).not.toHaveProperty('caution')
    expect(drawn.doseError).not.toHaveProperty('caution')
  })
  it('calls a syringe too coarse beyond the limit, on either side, and not at it', () => {
    const coarse = (dose: number, limit: number) =>
      measuredVolume(dose, { as: 'mg/mL', mgPerMl: 1 }, { graduationMl: 1 }, limit).tooCoarse
    expect(coarse(1.25, 20)).toBe(false) // 1 for 1.25 is -20 %
    expect(coarse(1.25, 19.99)).toBe(true)
    expect(coarse(0.8, 25)).toBe(false) // 1 for 0.8 is +25 %
    expect(coarse(0.8, 24.99)).toBe(true)
  })
  it('refuses what cannot be drawn', () => {
    expect(() => measuredVolume(0.25, FIVE, { graduationMl: 0.1 })).toThrow(
      'volume to draw is 0.05 mL; allowed: more than half a mark of 0.1 mL; use a finer syringe or dilute the drug first',
    )
    expect(measuredVolume(0.26, FIVE, { graduationMl: 0.1 }).measured.value).toBe(0.1)
  })
  it('refuses more than the syringe holds, and takes all that it holds', () => {
    expect(measuredVolume(5, FIVE, { graduationMl: 0.1, capacityMl: 1 }).measured.value).toBe(1)
    expect(() => measuredVolume(5.5, FIVE, { graduationMl: 0.1, capacityMl: 1 })).toThrow(
      'volume to draw is 1.1 mL; allowed: at most the 1 mL that the syringe holds',
    )
  })
  it('never draws further off than half a mark', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 60, max: 5000 }),
        fc.constantFrom(0.01, 0.1, 0.2),
        (mcg, graduationMl) => {
          const doseMg = mcg / 100
          const { exact, measured, doseError, measuredDose } = measuredVolume(doseMg, FIVE, { graduationMl })
          expect(Math.abs(measured.value - exact.value)).toBeLessThanOrEqual(graduationMl / 2 + 1e-12)
          expect(measuredDose.value).toBeCloseTo(doseMg * (1 + doseError.value / 100), 9)
        },
      ),
    )
  })
  it.each([
    [0, 0.1, 1, 5, /^dose is 0/],
    [1e10, 0.1, 1, 5, /1000000000 mg$/],
    [1, 0, 1, 5, /^graduation is 0/],
    [1, 1e10, 1, 5, /1000000000 mL$/],
    [1, 0.1, 0, 5, /^capacity of the syringe is 0/],
    [1, 0.1, 1e10, 5, /^capacity of the syringe .*mL$/],
    [1, 0.1, 1, 0, /^error limit is 0/],
    [1, 0.1, 1, 1e10, /1000000000 %$/],
  ])('refuses dose %s, mark %s, capacity %s, limit %s', (dose, graduationMl, capacityMl, limit, message) => {
    expect(() => measuredVolume(dose, FIVE, { graduationMl, capacityMl }, limit)).toThrow(message)
  })
})
