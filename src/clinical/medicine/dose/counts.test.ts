import { describe, expect, it } from 'vitest'
import { countUnits, dosePerBreaths, inVials } from './counts.ts'

const source = expect.objectContaining({ key: 'definition' })

describe('countUnits', () => {
  it('counts unit doses and their volume', () => {
    const count = '30 mcg ÷ 15 mcg in a unit = 2 units'
    expect(countUnits(30, 15, 2)).toEqual({
      units: { value: 2, unit: '1', steps: [count], sources: [source] },
      volume: { value: 4, unit: 'mL', steps: [count, '2 units × 2 mL = 4 mL'], sources: [source] },
    })
  })
  it('tells a part of a unit and does not round it', () => {
    const { units, volume } = countUnits(20, 15, 2)
    const caution = 'not a whole number of units: ask before part of one is used'
    expect(units).toMatchObject({ value: 4 / 3, caution })
    expect(volume).toMatchObject({ value: 8 / 3, caution })
  })
  it('names what cannot be used', () => {
    expect(() => countUnits(0, 15, 2)).toThrow(/^dose is 0/)
    expect(() => countUnits(15, 0, 2)).toThrow(/^amount in a unit is 0/)
    expect(() => countUnits(15, 15, 0)).toThrow(/^volume of a unit is 0/)
    expect(() => countUnits(1e10, 15, 2)).toThrow(/ug$/)
    expect(() => countUnits(15, 1e10, 2)).toThrow(/ug$/)
    expect(() => countUnits(15, 15, 1e10)).toThrow(/mL$/)
  })
})

describe('dosePerBreaths', () => {
  it('counts each time and each day', () => {
    const once = '9 breaths × 6 mcg = 54 mcg each time'
    expect(dosePerBreaths(9, 6, 4)).toEqual({
      perTime: { value: 54, unit: 'ug', steps: [once], sources: [source] },
      perDay: {
        value: 216,
        unit: 'ug',
        steps: [once, '54 mcg × 4 times = 216 mcg a day'],
        sources: [source],
      },
    })
  })
  it('counts whole breaths and whole times', () => {
    expect(() => dosePerBreaths(2.5, 6, 4)).toThrow('breaths is 2.5; allowed: a whole number above zero')
    expect(() => dosePerBreaths(3, 6, 0)).toThrow(/^times per day is 0/)
    expect(() => dosePerBreaths(3, 6, 1.5)).toThrow(/^times per day is 1.5/)
    expect(() => dosePerBreaths(3, 0, 4)).toThrow(/^dose of a breath is 0/)
    expect(() => dosePerBreaths(3, 1e10, 4)).toThrow(/ug$/)
    expect(() => dosePerBreaths(1e10, 6, 4)).toThrow(/1000000000$/)
  })
})

describe('inVials', () => {
  it('counts each drug of a vial', () => {
    const vial = [
      { name: 'ipratropium', amountMg: 0.5 },
      { name: 'albuterol', amountMg: 2.5 },
    ]
    expect(inVials(6, vial)).toEqual([
      {
        name: 'ipratropium',
        total: { value: 3, unit: 'mg', steps: ['6 vials × 0.5 mg = 3 mg of ipratropium'], sources: [source] },
      },
      {
        name: 'albuterol',
        total: { value: 15, unit: 'mg', steps: ['6 vials × 2.5 mg = 15 mg of albuterol'], sources: [source] },
      },
    ])
  })
  it('names what cannot be used', () => {
    expect(() => inVials(1.5, [])).toThrow(/^vials is 1.5/)
    expect(() => inVials(1, [{ name: 'albuterol', amountMg: 0 }])).toThrow(/^albuterol in a vial is 0/)
    expect(() => inVials(1, [{ name: 'albuterol', amountMg: 1e10 }])).toThrow(/mg$/)
  })
})
