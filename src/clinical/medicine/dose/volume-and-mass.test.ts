import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { BadInput } from '../../worked.ts'
import type { Strength } from './strength.ts'
import { massInVolume, volumeOfUnits, volumeToDraw } from './volume-and-mass.ts'

const FIVE: Strength = { as: 'percent', percent: 0.5 }
const decimal = fc.integer({ min: 1, max: 5_000_000 }).map((thousandths) => thousandths / 1000)

describe('volumeToDraw', () => {
  it('divides the dose by the strength', () => {
    expect(volumeToDraw(2.5, FIVE)).toEqual({
      value: 0.5,
      unit: 'mL',
      steps: ['0.5 g per 100 mL = 5 mg/mL', '2.5 mg ÷ 5 mg/mL = 0.5 mL'],
      sources: [expect.objectContaining({ key: 'definition', standing: 'computed' })],
    })
  })
  it('draws what holds the dose', () => {
    fc.assert(
      fc.property(decimal, decimal, (doseMg, mgPerMl) => {
        const strength: Strength = { as: 'mg/mL', mgPerMl }
        const volume = volumeToDraw(doseMg, strength).value
        expect(Number.isFinite(volume)).toBe(true)
        expect(Math.abs(massInVolume(volume, strength).value / doseMg - 1)).toBeLessThan(1e-11)
      }),
    )
  })
  it('rises with the dose and falls with the strength', () => {
    fc.assert(
      fc.property(decimal, decimal, decimal, (doseMg, mgPerMl, more) => {
        const volume = volumeToDraw(doseMg, { as: 'mg/mL', mgPerMl }).value
        expect(volumeToDraw(doseMg + more, { as: 'mg/mL', mgPerMl }).value).toBeGreaterThan(volume)
        expect(volumeToDraw(doseMg, { as: 'mg/mL', mgPerMl: mgPerMl + more }).value).toBeLessThan(volume)
      }),
    )
  })
  it.each([Number.NaN, Number.POSITIVE_INFINITY, -2, 0])('refuses a dose of %s', (dose) => {
    expect(() => volumeToDraw(dose, FIVE)).toThrow(BadInput)
    expect(() => volumeToDraw(dose, FIVE)).toThrow(/^dose is /)
  })
  it('refuses a strength of zero', () => {
    expect(() => volumeToDraw(1, { as: 'mg/mL', mgPerMl: 0 })).toThrow(/^strength is 0/)
  })
})

describe('massInVolume', () => {
  it('multiplies the volume by the strength', () => {
    expect(massInVolume(0.3, { as: 'percent', percent: 5 })).toEqual({
      value: 15,
      unit: 'mg',
      steps: ['5 g per 100 mL = 50 mg/mL', '0.3 mL × 50 mg/mL = 15 mg'],
      sources: [expect.objectContaining({ key: 'definition' })],
    })
  })
  it('refuses a volume of zero', () => {
    expect(() => massInVolume(0, FIVE)).toThrow(/^volume is 0/)
    expect(() => massInVolume(1e10, FIVE)).toThrow('1000000000 mL')
  })
})

describe('volumeOfUnits', () => {
  it('stays in units of activity', () => {
    expect(volumeOfUnits(1_000_000, 500_000)).toEqual({
      value: 2,
      unit: 'mL',
      steps: ['1000000 units ÷ 500000 units/mL = 2 mL'],
      sources: [expect.objectContaining({ key: 'definition' })],
    })
  })
  it('names what cannot be used', () => {
    expect(() => volumeOfUnits(0, 1)).toThrow(/^dose is 0/)
    expect(() => volumeOfUnits(1, 0)).toThrow(/^strength is 0/)
    expect(() => volumeOfUnits(1e10, 1)).toThrow('1000000000 [iU]')
    expect(() => volumeOfUnits(1, 1e10)).toThrow('1000000000 [iU]/mL')
    expect(() => volumeToDraw(1e10, FIVE)).toThrow('1000000000 mg')
  })
})
