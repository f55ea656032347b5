import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { OutsideValidity } from '../worked.ts'
import { wrightToEu } from './meter-scale.ts'
import {
  coverOf,
  PEAK_FLOW_EQUATIONS,
  type PeakFlowRequest,
  peakFlowPercent,
  predictPeakFlow,
} from './predict-peak-flow.ts'

const man = { sex: 'male', ageYears: 40, heightCm: 175 } as const
const girl = { sex: 'female', ageYears: 12, heightCm: 150 } as const

describe('each equation as published, by name, version and scale', () => {
  it('Nunn and Gregg 1989: exp(a·ln age + b·age + c/height + d), Wright scale', () => {
    const { reference, predicted, lowerLimit } = predictPeakFlow({ ...man, equation: 'nunn-gregg-1989' })
    expect(reference).toEqual({ equation: 'nunn-gregg-1989', version: '1989', group: null, scale: 'Wright' })
    expect(predicted.steps).toEqual(['exp(0.544 × ln 40 − 0.0151 × 40 − 74.7 ÷ 175 + 5.48) = 636.4 L/min'])
    expect(predicted.validity).toBe('adults, United Kingdom, ages 15 to 85')
    expect(predicted.sources.map(({ key }) => key)).toEqual(['NUNN_GREGG_1989'])
    expect(lowerLimit?.value).toBeCloseTo(536.442, 3)
    expect(lowerLimit?.steps.at(-1)).toBe('636.4 − 100 = 536.4 L/min')
    expect(lowerLimit?.steps).toHaveLength(2)
    expect(lowerLimit?.sources.map(({ standing }) => standing)).toEqual(['verified-secondary', 'from memory'])
    const woman = predictPeakFlow({ sex: 'female', ageYears: 40, heightCm: 163, equation: 'nunn-gregg-1989' })
    expect(woman.lowerLimit?.value).toBeCloseTo(481.1998 - 85, 3)
  })
  it('NHANES III 1999: L/s × 60, true flow, with its group', () => {
    const request = { ...man, equation: 'nhanes3-1999-pef', group: 'caucasian' } as const
    const { reference, predicted, lowerLimit } = predictPeakFlow(request)
    expect(reference).toEqual({
      equation: 'nhanes3-1999-pef',
      version: '1999',
      group: 'caucasian',
      scale: 'spirometric',
    })
    expect(predicted.value).toBeCloseTo(595.4467, 3)
    expect(predicted.unit).toBe('L/min')
    expect(predicted.steps.at(-1)).toBe('9.9241 L/s × 60 = 595.4 L/min')
    expect(predicted.steps).toHaveLength(2)
    expect(lowerLimit?.value).toBeCloseTo(7.680219 * 60, 3)
  })
  it('Polgar 1971, Hong Kong 2013, China 2017', () => {
    const of = (equation: PeakFlowRequest['equation']) => predictPeakFlow({ ...girl, equation })
    expect(of('polgar-1971-pef').predicted.steps).toEqual(['5.2428 × 150 − 425.5714 = 360.8 L/min'])
    expect(of('polgar-1971-pef').lowerLimit).toBeNull()
    expect(of('hong-kong-2013-eu').predicted.steps).toEqual([
      'exp(1.525509 × ln 150 + 0.033275 × 12 − 2.368592) = 291.3 L/min',
    ])
    expect(of('hong-kong-2013-eu').reference.scale).toBe('EU')
    expect(of('china-2017').predicted.steps).toEqual(['4.13 × 150 − 278.04 = 341.5 L/min'])
    expect(of('china-2017').reference.scale).toBe('not stated')
  })
  it('United Kingdom chart for children (from memory): every mark, and linear between two', () => {
    const at = (heightCm: number) =>
      predictPeakFlow({ ...girl, heightCm, equation: 'uk-child-height-table-eu' }).predicted
    expect([85, 110, 150, 170].map((height) => at(height).value)).toEqual([87, 141, 299, 393])
    expect(at(152).value).toBeCloseTo(299 + (323 - 299) * 0.4, 9)
    expect(at(152).steps).toEqual(['between 299 L/min at 150 cm and 323 L/min at 155 cm = 308.6 L/min'])
    expect(at(150).sources[0]?.standing).toBe('from memory')
  })
})

describe('what is covered, and nothing else', () => {
  it.each([
    ['nunn-gregg-1989', 15, 85],
    ['polgar-1971-pef', 4, 17],
    ['hong-kong-2013-eu', 6, 19],
    ['china-2017', 5, 14],
    ['uk-child-height-table-eu', 5, 18],
  ] as const)('%s: %i to %i years', (equation, low, high) => {
    const at = (ageYears: number) => predictPeakFlow({ ...girl, ageYears, equation }).predicted.value
    for (const age of [low, high]) expect(at(age)).toBeGreaterThan(100)
    for (const age of [low - 0.01, high + 0.01, Number.NaN, 0.01, 130, -1]) {
      expect(() => at(age)).toThrow(OutsideValidity)
    }
    expect(coverOf(equation).ages).toEqual({ low, high, unit: 'a' })
  })
  it.each([
    ['polgar-1971-pef', 110, 170],
    ['uk-child-height-table-eu', 85, 170],
    ['china-2017', 80, 230],
    ['hong-kong-2013-eu', 80, 230],
  ] as const)('%s: %i to %i cm', (equation, low, high) => {
    const at = (heightCm: number) => predictPeakFlow({ ...girl, heightCm, equation }).predicted.value
    for (const height of [low, high]) expect(at(height)).toBeGreaterThan(0)
    for (const height of [low - 0.01, high + 0.01, Number.NaN])
      expect(() => at(height)).toThrow(OutsideValidity)
  })
  it('refuses a group where none is taken, and wants one where it is', () => {
    expect(() => predictPeakFlow({ ...girl, equation: 'china-2017', group: 'all' })).toThrow(
      'group is all; allowed: none: china-2017 takes no group',
    )
    expect(() => predictPeakFlow({ ...girl, equation: 'nhanes3-1999-pef' })).toThrow('group is missing')
    const other = { ...girl, sex: 'other' as 'male', equation: 'uk-child-height-table-eu' } as const
    expect(() => predictPeakFlow(other)).toThrow('sex is other')
    expect(coverOf('nhanes3-1999-pef')).toMatchObject({ ages: { low: 8, high: 81 }, heights: null })
    expect(coverOf('china-2017').heights).toBeNull()
  })
  it('gives a finite flow that rises with height, for everybody covered', () => {
    const anyone = fc.constantFrom(...PEAK_FLOW_EQUATIONS).chain((equation) => {
      const { ages, heights } = coverOf(equation)
      return fc.record({
        equation: fc.constant(equation),
        sex: fc.constantFrom('female' as const, 'male' as const),
        ageYears: fc.double({ min: ages.low, max: ages.high, noNaN: true }),
        heightCm: fc.double({ min: heights?.low ?? 115, max: (heights?.high ?? 200) - 1, noNaN: true }),
        group: fc.constant(equation === 'nhanes3-1999-pef' ? 'caucasian' : undefined),
      })
    })
    fc.assert(
      fc.property(anyone, (request) => {
        const [first = Number.NaN, second = Number.NaN] = [request.heightCm, request.heightCm + 1].map(
          (heightCm) => predictPeakFlow({ ...request, heightCm }).predicted.value,
        )
        expect(Number.isFinite(first) && first > 0).toBe(true)
        expect(second).toBeGreaterThan(first)
      }),
      { numRuns: 300 },
    )
  })
})

describe('a reading in percent of a reference', () => {
  it('on one scale', () => {
    const { percent, scale } = peakFlowPercent({ lPerMin: 399, scale: 'EU' }, { lPerMin: 500, scale: 'ATS' })
    expect(percent).toEqual({
      value: 79.8,
      unit: '%',
      steps: ['100 × 399 ÷ 500 = 79.8 %'],
      sources: [],
    })
    expect(scale).toBe('EU')
  })
  it('on two: the one on the Wright scale is converted first', () => {
    const { percent, scale } = peakFlowPercent(
      { lPerMin: 300, scale: 'EU' },
      { lPerMin: 636, scale: 'Wright' },
    )
    expect(percent.value).toBeCloseTo((100 * 300) / wrightToEu(636).value, 9)
    expect(percent.steps).toEqual([...wrightToEu(636).steps, '100 × 300 ÷ 632.6 = 47.43 %'])
    expect(percent.caution).toContain('compared on the EU scale')
    expect(percent.sources).toHaveLength(1)
    expect(scale).toBe('EU')
  })
  it.each([0, 1000.1, -1, Number.NaN])('refuses %s L/min as reading and as reference', (lPerMin) => {
    const [odd, sound] = [{ lPerMin, scale: 'EU' } as const, { lPerMin: 400, scale: 'EU' } as const]
    expect(() => peakFlowPercent(odd, sound)).toThrow('reading')
    expect(() => peakFlowPercent(sound, odd)).toThrow('reference')
  })
})
