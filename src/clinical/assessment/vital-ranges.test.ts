import { describe, expect, it } from 'vitest'
import { OutsideValidity } from '../worked.ts'
import {
  defaultVitalRanges,
  hypotensionBelow,
  type VITALS,
  VitalRangeDocument,
  vitalRanges,
} from './vital-ranges.ts'

const range = (ageYears: number, set: string, vital: keyof typeof VITALS) => {
  const found = vitalRanges(ageYears).find((each) => each.set === set && each.vital === vital)
  return found && [found.low, found.high]
}

describe('ranges by age, set by set', () => {
  it.each([
    [0.05, [100, 205], [90, 160], [30, 53]],
    [0.5, [100, 190], [90, 160], [30, 53]],
    [1, [98, 140], [80, 120], [22, 37]],
    [2.5, [98, 140], [80, 120], [22, 37]],
    [3, [80, 120], [65, 100], [20, 28]],
    [6, [75, 118], [58, 90], [18, 25]],
    [11.9, [75, 118], [58, 90], [18, 25]],
    [12, [60, 100], [50, 90], [12, 20]],
    [15.99, [60, 100], [50, 90], [12, 20]],
    [16, undefined, undefined, undefined],
  ])('PALS 2015 at %s years', (age, awake, asleep, breaths) => {
    expect(range(age, 'PALS 2015', 'heartRateAwake')).toEqual(awake)
    expect(range(age, 'PALS 2015', 'heartRateAsleep')).toEqual(asleep)
    expect(range(age, 'PALS 2015', 'respiratoryRate')).toEqual(breaths)
  })
  it.each([
    [0.5, [110, 160], [30, 40]],
    [1, [100, 150], [25, 35]],
    [2, [95, 140], [25, 30]],
    [5, [80, 120], [20, 25]],
    [12, [60, 100], [15, 20]],
    [18, undefined, undefined],
  ])('APLS at %s years', (age, heart, breaths) => {
    expect(range(age, 'APLS', 'heartRateAwake')).toEqual(heart)
    expect(range(age, 'APLS', 'respiratoryRate')).toEqual(breaths)
  })
  it('adults: the zero bands of NEWS2 and what is usually taught, side by side', () => {
    expect(vitalRanges(40).map(({ set, vital, unit, low, high }) => [set, vital, unit, low, high])).toEqual([
      ['NEWS2 zero bands', 'heartRateAwake', '/min', 51, 90],
      ['NEWS2 zero bands', 'respiratoryRate', '/min', 12, 20],
      ['NEWS2 zero bands', 'systolic', 'mm[Hg]', 111, 219],
      ['NEWS2 zero bands', 'spo2', '%', 96, 100],
      ['NEWS2 zero bands', 'temperature', 'Cel', 36.1, 38],
      ['usual teaching', 'heartRateAwake', '/min', 60, 100],
    ])
    expect(vitalRanges(40).at(-1)?.source.standing).toBe('from memory')
    expect(range(15.9, 'NEWS2 zero bands', 'spo2')).toBeUndefined()
  })
  it('carries the label as printed', () => {
    expect(vitalRanges(2.5).map(({ set, label }) => `${set}: ${label}`)).toEqual([
      'PALS 2015: 1 to 2 years',
      'PALS 2015: 1 to 2 years',
      'PALS 2015: 1 to 2 years',
      'APLS: 2 to 5 years',
      'APLS: 2 to 5 years',
    ])
  })
  it('has the medians that were read, and no centiles that were not', () => {
    expect(defaultVitalRanges().medians.rows).toEqual([
      { age: 'birth', heartRate: 127, respiratoryRate: 44 },
      { age: 'about 1 month', heartRate: 145 },
      { age: '2 years', heartRate: 113, respiratoryRate: 26 },
    ])
  })
})

describe('the systolic floor of PALS 2015', () => {
  it.each([
    [0, 60],
    [0.07, 60],
    [0.08, 70],
    [0.99, 70],
    [1, 72],
    [6, 82],
    [6.99, 82],
    [9.99, 88],
    [10, 90],
    [15.99, 90],
  ])('at %s years: %i mmHg', (age, mmHg) => {
    expect(hypotensionBelow(age)).toMatchObject({
      mmHg,
      source: expect.objectContaining({ key: 'PALS2015' }),
    })
  })
  it('gives none from 16 years on', () => {
    expect(hypotensionBelow(16)).toBeNull()
  })
})

it.each([-0.01, 120.01, 130, Number.NaN, Infinity])('refuses an age of %s', (age) => {
  expect(() => vitalRanges(age)).toThrow(OutsideValidity)
  expect(() => hypotensionBelow(age)).toThrow('allowed: 0 to 120 a')
})
it('refuses a chart whose ranges are upside down or whose source is not written down', () => {
  const change = (over: object) => VitalRangeDocument.safeParse({ ...defaultVitalRanges(), ...over }).success
  const [first] = defaultVitalRanges().sets
  const upside = { ...first, respiratoryRate: [{ label: 'all', fromYears: 0, low: 30, high: 20 }] }
  expect([change({}), change({ sets: [upside] }), change({ sources: {} })]).toEqual([true, false, false])
})
