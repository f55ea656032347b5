import { describe, expect, it } from 'vitest'
import { BadInput, OutsideValidity } from '../worked.ts'
import { defaultPramBands, PRAM_PARTS, PramBands, type PramSet, pram } from './pram.ts'

const well: PramSet = {
  ageYears: 6,
  spo2RoomAirPercent: 98,
  suprasternalRetraction: 'absent',
  scaleneContraction: 'absent',
  airEntry: 'normal',
  wheeze: 'absent',
}
const worst: PramSet = {
  spo2RoomAirPercent: 80,
  suprasternalRetraction: 'present',
  scaleneContraction: 'present',
  airEntry: 'minimal or absent',
  wheeze: 'heard without stethoscope, or silent chest',
}

describe('points as printed (Ducharme 2008, in two tables that agree)', () => {
  it.each([
    [100, 0],
    [95, 0],
    [94, 1],
    [92, 1],
    [91, 2],
    [1, 2],
  ])('SpO2 of %i %%: %i', (spo2RoomAirPercent, expected) => {
    expect(pram({ ...well, spo2RoomAirPercent }).parts.spo2).toBe(expected)
  })
  it('signs, air entry and wheeze', () => {
    const entry = ['normal', 'less at the bases', 'less at apex and bases', 'minimal or absent'] as const
    expect(entry.map((airEntry) => pram({ ...well, airEntry }).parts.airEntry)).toEqual([0, 1, 2, 3])
    const wheezes = [
      'absent',
      'on breathing out only',
      'on breathing in',
      'heard without stethoscope, or silent chest',
    ] as const
    expect(wheezes.map((wheeze) => pram({ ...well, wheeze }).parts.wheeze)).toEqual([0, 1, 2, 3])
    expect(pram({ ...well, suprasternalRetraction: 'present' }).total?.value).toBe(2)
    expect(pram({ ...well, scaleneContraction: 'present' }).total?.value).toBe(2)
  })
  it('0 at best, 12 at worst, with its working', () => {
    expect(pram(well)).toMatchObject({
      total: { value: 0 },
      severity: 'mild',
      atLeast: 0,
      atMost: 0,
      missing: [],
    })
    const { total, severity } = pram(worst)
    expect(severity).toBe('severe')
    expect(total).toMatchObject({
      value: 12,
      unit: '{score}',
      steps: ['spo2 2 + suprasternalRetraction 2 + scaleneContraction 2 + airEntry 3 + wheeze 3 = 12'],
      validity: 'children of 2 to 17 years with acute asthma',
    })
    expect(total?.sources.map(({ key }) => key)).toEqual(['PRAM_2008', 'MISSING_RULE'])
  })
  it('bands 0 to 3, 4 to 7, 8 to 12', () => {
    const three = { ...well, airEntry: 'minimal or absent', wheeze: 'on breathing out only' } as const
    const of = (change: PramSet) => {
      const { total, severity } = pram({ ...well, ...change })
      return [total?.value, severity]
    }
    expect(of({ airEntry: 'minimal or absent' })).toEqual([3, 'mild'])
    expect(of(three)).toEqual([4, 'moderate'])
    expect(of({ ...three, scaleneContraction: 'present', spo2RoomAirPercent: 94 })).toEqual([7, 'moderate'])
    expect(of({ ...three, scaleneContraction: 'present', spo2RoomAirPercent: 91 })).toEqual([8, 'severe'])
  })
})

describe('missing is not zero', () => {
  it.each(PRAM_PARTS)('without %s there is no total', (part) => {
    const field = part === 'spo2' ? 'spo2RoomAirPercent' : part
    for (const none of [null, undefined]) {
      const score = pram({ ...well, [field]: none })
      expect(score).toMatchObject({ total: null, missing: [part], atLeast: 0 })
      expect(score.parts[part]).toBeNull()
    }
  })
  it('a child on oxygen has no SpO2 on room air: a range, and a severity only where it cannot change', () => {
    const onOxygen = pram({ ...well, spo2RoomAirPercent: null })
    expect(onOxygen).toMatchObject({ atLeast: 0, atMost: 2, severity: 'mild' })
    expect(onOxygen.cautions).toEqual(['SpO2 on room air is missing: the score stays incomplete.'])
    expect(pram({ ...worst, spo2RoomAirPercent: null })).toMatchObject({
      atLeast: 10,
      atMost: 12,
      severity: 'severe',
    })
    const between = pram({ ...well, spo2RoomAirPercent: null, suprasternalRetraction: 'present' })
    expect(between).toMatchObject({ atLeast: 2, atMost: 4, severity: null })
    const unknown = pram({})
    expect(unknown).toMatchObject({ atLeast: 0, atMost: 12, severity: null, missing: [...PRAM_PARTS] })
  })
  it('asks about a silent chest taken for no wheeze', () => {
    expect(pram({ ...well, airEntry: 'minimal or absent' }).cautions).toEqual([
      'No wheeze with hardly any air entry may be a silent chest, which scores 3: look again.',
    ])
    expect(pram({ ...well, airEntry: 'less at the bases' }).cautions).toEqual([])
    expect(pram(worst).cautions).toEqual([])
  })
})

describe('what is refused', () => {
  it.each([1.99, 18, 34, 0.01, 130, -1, Number.NaN])('an age of %s', (ageYears) => {
    expect(() => pram({ ...well, ageYears })).toThrow(OutsideValidity)
  })
  it('but not 2, nor the day before the 18th birthday', () => {
    for (const ageYears of [2, 17.99, null]) expect(pram({ ...well, ageYears }).severity).toBe('mild')
    expect(() => pram({ ...well, ageYears: 18 })).toThrow(
      'ageYears is 18; allowed: 2 to 17 a (completed years)',
    )
  })
  it('an SpO2 that cannot be, or that has decimals; a word that is not known', () => {
    for (const spo2RoomAirPercent of [0, 101, Number.NaN]) {
      expect(() => pram({ ...well, spo2RoomAirPercent })).toThrow('allowed: 1 to 100 %')
    }
    expect(() => pram({ ...well, spo2RoomAirPercent: 94.5 })).toThrow(
      'spo2RoomAirPercent is 94.5; allowed: a whole',
    )
    const odd = { ...well, wheeze: 'loud' as 'absent' }
    expect(() => pram(odd)).toThrow(
      'wheeze is loud; allowed: absent, on breathing out only, on breathing in, heard',
    )
    expect(() => pram(odd)).toThrow(BadInput)
  })
})

describe('a hospital’s own bands', () => {
  it('may differ', () => {
    const bands = [
      { upTo: 4, severity: 'mild' },
      { upTo: 8, severity: 'moderate' },
      { upTo: 12, severity: 'severe' },
    ]
    const own = PramBands.parse({ ...defaultPramBands(), version: 2, bands })
    const four = { ...well, airEntry: 'minimal or absent', wheeze: 'on breathing out only' } as const
    expect([pram(four).severity, pram(four, own).severity]).toEqual(['moderate', 'mild'])
  })
  it.each([
    ['end before 12', [{ upTo: 11, severity: 'mild' }]],
    [
      'do not rise',
      [
        { upTo: 5, severity: 'mild' },
        { upTo: 5, severity: 'x' },
        { upTo: 12, severity: 'severe' },
      ],
    ],
    ['are none', []],
  ])('but not when they %s', (_what, bands) => {
    expect(PramBands.safeParse({ ...defaultPramBands(), bands }).success).toBe(false)
  })
})
