import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { BadInput } from '../../worked.ts'
import { diluteToFill, unitDosesPlusDiluent } from './fill.ts'

const FIVE = { as: 'mg/mL', mgPerMl: 5 } as const
const source = expect.objectContaining({ key: 'definition' })

describe('diluteToFill', () => {
  it('draws, fills up and says what the cup then holds', () => {
    const draw = ['strength = 5 mg/mL', '2.5 mg ÷ 5 mg/mL = 0.5 mL of drug']
    expect(diluteToFill(2.5, FIVE, 3)).toEqual({
      drug: { value: 0.5, unit: 'mL', steps: draw, sources: [source] },
      diluent: {
        value: 2.5,
        unit: 'mL',
        steps: [...draw, '3 mL − 0.5 mL = 2.5 mL of diluent'],
        sources: [source],
      },
      final: {
        value: 2.5 / 3,
        unit: 'mg/mL',
        steps: ['2.5 mg ÷ 3 mL ≈ 0.833333 mg/mL in the cup'],
        sources: [source],
      },
    })
  })
  it('needs no diluent when the drug is the fill', () => {
    expect(diluteToFill(15, FIVE, 3).diluent.value).toBe(0)
  })
  it('refuses when the drug alone is more, by however little', () => {
    expect(() => diluteToFill(15.0001, FIVE, 3)).toThrow(BadInput)
    expect(() => diluteToFill(20, FIVE, 3)).toThrow(
      'target fill is 3 mL; allowed: at least the 4 mL that the drug takes up by itself; taking drug out would change the dose',
    )
  })
  it('drug and diluent are the fill, whatever the dose', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 15_000 }),
        fc.integer({ min: 3000, max: 10_000 }),
        (mcg, microliters) => {
          const made = diluteToFill(mcg / 1000, FIVE, microliters / 1000)
          expect(made.drug.value + made.diluent.value).toBeCloseTo(microliters / 1000, 9)
          expect(made.diluent.value).toBeGreaterThanOrEqual(0)
        },
      ),
    )
  })
  it.each([
    [Number.NaN, 3, /^dose is NaN/],
    [1, 0, /^target fill is 0/],
    [1e10, 3, /1000000000 mg$/],
    [1, 1e10, /1000000000 mL$/],
  ])('refuses dose %s and fill %s', (dose, fill, message) => {
    expect(() => diluteToFill(dose, FIVE, fill)).toThrow(message)
  })
})

describe('unitDosesPlusDiluent', () => {
  const albuterol = { name: 'albuterol', volumeMl: 3 }
  const ipratropium = { name: 'ipratropium', volumeMl: 2.5 }

  it('adds the units up and fills the rest', () => {
    const poured = '3 mL + 2.5 mL = 5.5 mL'
    expect(unitDosesPlusDiluent([albuterol, ipratropium], 6)).toEqual({
      drug: { value: 5.5, unit: 'mL', steps: [poured], sources: [source] },
      diluent: {
        value: 0.5,
        unit: 'mL',
        steps: [poured, '6 mL − 5.5 mL = 0.5 mL of diluent'],
        sources: [source],
      },
    })
  })
  it('does not mind tenths that binary fractions spoil', () => {
    const tenths = [0.1, 0.2].map((volumeMl) => ({ name: 'drug', volumeMl }))
    expect(unitDosesPlusDiluent(tenths, 0.3).diluent.value).toBe(0)
  })
  it('refuses nothing at all, too much, and what has no volume', () => {
    expect(() => unitDosesPlusDiluent([], 3)).toThrow(
      'units is an empty list; allowed: at least one unit dose',
    )
    expect(() => unitDosesPlusDiluent([albuterol, ipratropium], 3)).toThrow(/at least the 5.5 mL/)
    expect(() => unitDosesPlusDiluent([{ name: 'ipratropium', volumeMl: 0 }], 3)).toThrow(
      /^volume of ipratropium is 0/,
    )
    expect(() => unitDosesPlusDiluent([{ name: 'ipratropium', volumeMl: 1e10 }], 3)).toThrow(/1000000000 mL$/)
    expect(() => unitDosesPlusDiluent([albuterol], Number.NaN)).toThrow(/^target fill is NaN/)
    expect(() => unitDosesPlusDiluent([albuterol], 1e10)).toThrow(/^target fill .*1000000000 mL$/)
  })
})
