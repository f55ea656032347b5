import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { dilution, percentAfterAdding, sameDrugInStock } from './dilution.ts'

const source = expect.objectContaining({ key: 'percent-definition' })

describe('dilution', () => {
  it('says how much in all and how much to add', () => {
    const made = '4 % × 25 mL ÷ 0.5 % = 200 mL in all'
    expect(dilution(4, 25, 0.5)).toEqual({
      total: { value: 200, unit: 'mL', steps: [made], sources: [source] },
      add: { value: 175, unit: 'mL', steps: [made, '200 mL − 25 mL = 175 mL to add'], sources: [source] },
    })
  })
  it('adds nothing when the percent stays', () => {
    expect(dilution(10, 2, 10).add.value).toBe(0)
  })
  it('never strengthens', () => {
    expect(() => dilution(10, 2, 10.001)).toThrow(
      'wanted percent is 10.001; allowed: at most 10: diluent only weakens a solution',
    )
  })
  it.each([
    [0, 1, 1, /^percent in the hand is 0/],
    [101, 1, 1, /^percent in the hand is 101; allowed: at most 100/],
    [1, 0, 1, /^volume is 0/],
    [1, 1e10, 1, /1000000000 mL$/],
    [1, 1, 0, /^wanted percent is 0/],
  ])('refuses %s, %s, %s', (from, volume, to, message) => {
    expect(() => dilution(from, volume, to)).toThrow(message)
  })
})

describe('percentAfterAdding', () => {
  it('weakens by the share of volume', () => {
    expect(percentAfterAdding(350, 5, 100)).toEqual({
      value: 1750 / 450,
      unit: '%',
      steps: ['350 mL × 5 % ÷ 450 mL ≈ 3.88889 %'],
      sources: [source],
    })
    expect(percentAfterAdding(2, 20, 0).value).toBe(20)
  })
  it('is undone by dilution', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 1000 }), fc.integer({ min: 1, max: 1000 }), (volume, added) => {
        const percent = percentAfterAdding(volume, 20, added).value
        expect(dilution(20, volume, percent).add.value).toBeCloseTo(added, 6)
      }),
    )
  })
  it('names what cannot be used', () => {
    expect(() => percentAfterAdding(0, 5, 1)).toThrow(/^volume is 0/)
    expect(() => percentAfterAdding(1e10, 5, 1)).toThrow(/^volume .*mL$/)
    expect(() => percentAfterAdding(1, 0, 1)).toThrow(/^percent in the hand is 0/)
    expect(() => percentAfterAdding(1, 5, -1)).toThrow(/^added volume is -1/)
    expect(() => percentAfterAdding(1, 5, 1e10)).toThrow(/^added volume .*mL$/)
  })
})

describe('sameDrugInStock', () => {
  it('keeps the drug and changes the volume', () => {
    expect(sameDrugInStock(4, 10, 20)).toEqual({
      value: 2,
      unit: 'mL',
      steps: ['4 mL × 10 % ÷ 20 % = 2 mL'],
      sources: [source],
    })
  })
  it('names what cannot be used', () => {
    expect(() => sameDrugInStock(0, 10, 20)).toThrow(/^ordered volume is 0/)
    expect(() => sameDrugInStock(1e10, 10, 20)).toThrow(/^ordered volume .*mL$/)
    expect(() => sameDrugInStock(4, 0, 20)).toThrow(/^ordered percent is 0/)
    expect(() => sameDrugInStock(4, 10, 0)).toThrow(/^percent in stock is 0/)
  })
})
