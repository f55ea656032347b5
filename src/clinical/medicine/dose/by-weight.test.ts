import { UcumLhcUtils } from '@lhncbc/ucum-lhc'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { BadInput, OutsideValidity } from '../../worked.ts'
import { doseByWeight, hourlyByWeight, hourlyFromMicrograms, pumpSpeed, volumeByWeight } from './by-weight.ts'

const source = expect.objectContaining({ key: 'definition' })
const LIMITS = { atLeast: 2.5, atMost: 10 }

describe('doseByWeight', () => {
  it('shows the calculated and the limited dose', () => {
    expect(doseByWeight(12, 0.15, LIMITS)).toEqual({
      calculated: { value: 1.8, unit: 'mg', steps: ['12 kg × 0.15 mg/kg = 1.8 mg'], sources: [source] },
      given: {
        value: 2.5,
        unit: 'mg',
        steps: ['12 kg × 0.15 mg/kg = 1.8 mg', 'raised to the minimum 2.5 mg'],
        sources: [source],
        caution: 'the weight alone gives 1.8 mg',
      },
      limit: 'minimum',
    })
    expect(doseByWeight(40, 0.3, LIMITS)).toMatchObject({
      calculated: { value: 12 },
      given: { value: 10, caution: 'the weight alone gives 12 mg' },
      limit: 'maximum',
    })
    expect(doseByWeight(40, 0.3, LIMITS).given.steps.at(-1)).toBe('held at the maximum 10 mg')
  })
  it('lets no limit speak at the limit itself', () => {
    const at = (kg: number) => doseByWeight(kg, 0.1, { atLeast: 1.8, atMost: 1.9 })
    expect([at(17.99).limit, at(18).limit, at(19).limit, at(19.01).limit]).toEqual([
      'minimum',
      'within',
      'within',
      'maximum',
    ])
    expect(at(18).given.steps.at(-1)).toBe('within limits')
    expect(at(18).given).not.toHaveProperty('caution')
  })
  it('works with one limit or none', () => {
    expect(doseByWeight(10, 1).given.value).toBe(10)
    expect(doseByWeight(10, 1, { atMost: 5 }).given.value).toBe(5)
    expect(doseByWeight(10, 1, { atLeast: 20 }).given.value).toBe(20)
    expect(doseByWeight(10, 1, { atLeast: 10, atMost: 10 }).limit).toBe('within')
  })
  it('never leaves the limits, and rises with the weight', () => {
    const kg = fc.integer({ min: 1, max: 200 })
    fc.assert(
      fc.property(kg, kg, (a, b) => {
        const [light, heavy] = [Math.min(a, b), Math.max(a, b)].map(
          (weight) => doseByWeight(weight, 0.15, LIMITS).given.value,
        )
        expect(light).toBeGreaterThanOrEqual(2.5)
        expect(heavy).toBeLessThanOrEqual(10)
        expect(heavy).toBeGreaterThanOrEqual(light ?? Number.NaN)
      }),
    )
  })
  it.each([Number.NaN, 0, -3, Number.POSITIVE_INFINITY])('refuses a weight of %s', (kg) => {
    expect(() => doseByWeight(kg, 0.15)).toThrow(BadInput)
    expect(() => doseByWeight(kg, 0.15)).toThrow(/^weight is /)
  })
  it('knows weights that people have', () => {
    expect(doseByWeight(0.2, 1).given.value).toBe(0.2)
    expect(doseByWeight(700, 1).given.value).toBe(700)
    expect(() => doseByWeight(0.199, 1)).toThrow(OutsideValidity)
    expect(() => doseByWeight(700.1, 1)).toThrow('weight is 700.1; allowed: 0.2 to 700 kg')
    expect(() => doseByWeight(1e10, 1)).toThrow(/1000000000 kg$/)
  })
  it('refuses limits that contradict each other or are no numbers', () => {
    expect(() => doseByWeight(10, 1, { atLeast: 5, atMost: 4 })).toThrow(
      'minimum is 5; allowed: at most the maximum 4 mg',
    )
    expect(() => doseByWeight(10, 1, { atLeast: 0 })).toThrow(/^minimum is 0/)
    expect(() => doseByWeight(10, 1, { atMost: Number.NaN })).toThrow(/^maximum is NaN/)
    expect(() => doseByWeight(10, 1, { atMost: 1e10 })).toThrow(/1000000000 mg$/)
    expect(() => doseByWeight(10, 1, { atLeast: 1e10 })).toThrow(/1000000000 mg$/)
    expect(() => doseByWeight(10, 0)).toThrow(/^dose per kg is 0/)
    expect(() => doseByWeight(10, 1e10)).toThrow(/1000000000 mg\/kg$/)
  })
})

describe('volumeByWeight and hourlyByWeight', () => {
  it('speak in their own units', () => {
    expect(volumeByWeight(14, 0.05, { atMost: 0.5 })).toMatchObject({
      calculated: { value: 0.7, unit: 'mL', steps: ['14 kg × 0.05 mL/kg = 0.7 mL'] },
      given: { value: 0.5, unit: 'mL' },
      limit: 'maximum',
    })
    expect(hourlyByWeight(38, 0.5, { atMost: 15 })).toMatchObject({
      calculated: { value: 19, unit: 'mg/h', steps: ['38 kg × 0.5 mg/kg/h = 19 mg/h'] },
      given: { value: 15, unit: 'mg/h' },
    })
    expect(hourlyByWeight(16, 0.5).given.value).toBe(8)
    expect(volumeByWeight(8, 0.05).limit).toBe('within')
  })
  it('name what cannot be used', () => {
    expect(() => volumeByWeight(10, 0)).toThrow(/^volume per kg is 0/)
    expect(() => volumeByWeight(10, 1e10)).toThrow(/mL\/kg$/)
    expect(() => hourlyByWeight(10, 0)).toThrow(/^rate per kg is 0/)
    expect(() => hourlyByWeight(10, 1e10)).toThrow(/mg\/kg\/h$/)
  })
})

describe('hourlyFromMicrograms', () => {
  it('goes from micrograms a minute to milligrams an hour', () => {
    expect(hourlyFromMicrograms(20, 5)).toEqual({
      value: 6,
      unit: 'mg/h',
      steps: ['20 kg × 5 mcg/kg/min × 60 min/h ÷ 1000 mcg/mg = 6 mg/h'],
      sources: [source],
    })
  })
  it('agrees with UCUM, computed by ucum-lhc 7.1.10', () => {
    const answer = UcumLhcUtils.getInstance().convertUnitTo('ug/kg/min', 7, 'mg/kg/h')
    expect(answer.status).toBe('succeeded')
    expect(hourlyFromMicrograms(1, 7).value).toBeCloseTo(answer.toVal ?? Number.NaN, 9)
  })
  it('names what cannot be used', () => {
    expect(() => hourlyFromMicrograms(0, 5)).toThrow(/^weight is 0/)
    expect(() => hourlyFromMicrograms(20, 0)).toThrow(/^rate per kg is 0/)
    expect(() => hourlyFromMicrograms(20, 1e10)).toThrow(/ug\/kg\/min$/)
  })
})

describe('pumpSpeed', () => {
  it('divides the rate by the strength', () => {
    expect(pumpSpeed(10, 0.4)).toEqual({
      value: 25,
      unit: 'mL/h',
      steps: ['10 mg/h ÷ 0.4 mg/mL = 25 mL/h'],
      sources: [source],
    })
  })
  it('names what cannot be used', () => {
    expect(() => pumpSpeed(0, 1)).toThrow(/^rate is 0/)
    expect(() => pumpSpeed(1, 0)).toThrow(/^strength is 0/)
    expect(() => pumpSpeed(1e10, 1)).toThrow(/1000000000 mg\/h$/)
    expect(() => pumpSpeed(1, 1e10)).toThrow(/1000000000 mg\/mL$/)
  })
})
