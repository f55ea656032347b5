import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { BadInput, OutsideValidity } from '../worked.ts'
import { type NEWS2_PARTS, type News2Set, news2 } from './news2.ts'

const well: News2Set = {
  respiratoryRatePerMin: 16,
  spo2Percent: 97,
  spo2Scale: 1,
  gas: 'air',
  systolicMmHg: 120,
  heartRatePerMin: 70,
  consciousness: 'alert',
  temperatureCel: 37,
}
const points = (change: Partial<News2Set>, part: (typeof NEWS2_PARTS)[number]) =>
  news2({ ...well, ...change }).parts[part]

describe('every edge of every band (Royal College of Physicians 2017, Chart 1)', () => {
  it.each([
    [
      'respiratoryRatePerMin',
      'respiratoryRate',
      { 8: 3, 9: 1, 11: 1, 12: 0, 20: 0, 21: 2, 24: 2, 25: 3, 0: 3 },
    ],
    ['systolicMmHg', 'systolic', { 90: 3, 91: 2, 100: 2, 101: 1, 110: 1, 111: 0, 219: 0, 220: 3 }],
    [
      'heartRatePerMin',
      'heartRate',
      { 40: 3, 41: 1, 50: 1, 51: 0, 90: 0, 91: 1, 110: 1, 111: 2, 130: 2, 131: 3 },
    ],
    ['temperatureCel', 'temperature', { 35: 3, 35.1: 1, 36: 1, 36.1: 0, 38: 0, 38.1: 1, 39: 1, 39.1: 2 }],
    ['spo2Percent', 'spo2', { 91: 3, 92: 2, 93: 2, 94: 1, 95: 1, 96: 0, 100: 0 }],
  ] as const)('%s', (field, part, edges) => {
    for (const [value, expected] of Object.entries(edges)) {
      expect([value, points({ [field]: Number(value) }, part)]).toEqual([value, expected])
    }
  })
  it('SpO2 scale 2, on air and on oxygen', () => {
    const scale2 = (gas: 'air' | 'oxygen', spo2Percent: number) =>
      points({ spo2Scale: 2, gas, spo2Percent }, 'spo2')
    const edges = [83, 84, 85, 86, 87, 88, 92, 93, 94, 95, 96, 97, 100]
    expect(edges.map((value) => scale2('air', value))).toEqual([3, 2, 2, 1, 1, 0, 0, 0, 0, 0, 0, 0, 0])
    expect(edges.map((value) => scale2('oxygen', value))).toEqual([3, 2, 2, 1, 1, 0, 0, 1, 1, 2, 2, 3, 3])
  })
  it('oxygen is 2 points on either scale; anything but alert is 3', () => {
    expect(points({ gas: 'oxygen' }, 'gas')).toBe(2)
    expect(points({ gas: 'oxygen', spo2Scale: 2 }, 'gas')).toBe(2)
    expect(points({ gas: 'air' }, 'gas')).toBe(0)
    const awake = ['alert', 'new confusion', 'to voice', 'to pain', 'unresponsive'] as const
    expect(awake.map((consciousness) => points({ consciousness }, 'consciousness'))).toEqual([0, 3, 3, 3, 3])
  })
})

describe('what a total calls for (Chart 4)', () => {
  it.each([
    [{}, 0, 'low', 'At least every 12 hours.'],
    [{ heartRatePerMin: 95 }, 1, 'low', 'At least every 4 to 6 hours; a registered nurse assesses.'],
    [
      { heartRatePerMin: 115, gas: 'oxygen' },
      4,
      'low',
      'At least every 4 to 6 hours; a registered nurse assesses.',
    ],
    [
      { heartRatePerMin: 135 },
      3,
      'low-medium',
      'At least hourly; tell the medical team, urgent ward review.',
    ],
    [
      { heartRatePerMin: 115, gas: 'oxygen', spo2Percent: 95 },
      5,
      'medium',
      'At least hourly; urgent assessment by a clinician or team competent in acute illness.',
    ],
    [{ heartRatePerMin: 135, temperatureCel: 35 }, 6, 'medium', expect.any(String)],
    [
      { heartRatePerMin: 135, temperatureCel: 35, systolicMmHg: 110 },
      7,
      'high',
      'Continuous vital signs; emergency assessment by a team with critical-care skills.',
    ],
  ] as const)('%j: %i, %s', (change, total, risk, monitor) => {
    expect(news2({ ...well, ...change })).toMatchObject({
      total: { value: total },
      risk,
      riskAtLeast: risk,
      monitor,
    })
  })
  it('says the total in words, with a 3 in one part', () => {
    expect(news2(well).words).toBe('0, low risk')
    expect(news2({ ...well, heartRatePerMin: 135 }).words).toBe('3, low-medium risk, 3 in one part')
    expect(news2({ ...well, heartRatePerMin: 135 }).threeInOne).toBe(true)
    expect(news2({ ...well, gas: 'oxygen' }).threeInOne).toBe(false)
  })
  it('shows its working and acknowledges whose score it is', () => {
    const { total } = news2({ ...well, gas: 'oxygen', spo2Scale: 2, spo2Percent: 90, heartRatePerMin: 95 })
    expect(total?.steps).toEqual([
      'respiratory rate 16: 0',
      'SpO2 90 on scale 2: 0',
      'breathing oxygen: 2',
      'systolic pressure 120: 0',
      'heart rate 95: 1',
      'consciousness alert: 0',
      'temperature 37: 0',
      '0 + 0 + 2 + 0 + 1 + 0 + 0 = 3',
    ])
    expect(total?.sources[0]?.cite).toContain('Royal College of Physicians')
    expect(total?.sources).toHaveLength(3)
    expect(total?.unit).toBe('{score}')
    expect(total?.caution).toBe(
      'A nebulizer driven by oxygen counts as oxygen while it runs. SpO2 scale 2: only where a clinician has recorded it.',
    )
    expect(news2(well).total?.caution).toBeUndefined()
    expect(news2(well).total?.validity).toBe('ages 16 and over, not in pregnancy')
  })
})

describe('missing is not zero', () => {
  it.each([
    ['respiratoryRatePerMin', 'respiratoryRate', 'respiratory rate'],
    ['spo2Percent', 'spo2', 'SpO2'],
    ['gas', 'gas', 'air or oxygen'],
    ['systolicMmHg', 'systolic', 'systolic pressure'],
    ['heartRatePerMin', 'heartRate', 'heart rate'],
    ['consciousness', 'consciousness', 'consciousness'],
    ['temperatureCel', 'temperature', 'temperature'],
  ] as const)('without %s there is no total, null or absent alike', (field, part, words) => {
    for (const none of [null, undefined]) {
      const score = news2({ ...well, [field]: none })
      expect(score).toMatchObject({
        total: null,
        risk: null,
        missing: [part],
        words: `at least 0; missing: ${words}`,
      })
      expect(score.parts[part]).toBeNull()
    }
  })
  it('says what is known to be at least', () => {
    const score = news2({
      ...well,
      systolicMmHg: null,
      temperatureCel: null,
      heartRatePerMin: 135,
      gas: 'oxygen',
    })
    expect(score).toMatchObject({
      total: null,
      atLeast: 5,
      missing: ['systolic', 'temperature'],
      threeInOne: true,
      riskAtLeast: 'medium',
      words: 'at least 5; missing: systolic pressure, temperature',
    })
  })
  it('on scale 2 a high SpO2 has no points until the gas is known; a low one has', () => {
    const without = (spo2Percent: number) => news2({ ...well, spo2Scale: 2, gas: null, spo2Percent })
    expect([83, 85, 87, 92].map((value) => without(value).parts.spo2)).toEqual([3, 2, 1, 0])
    expect([93, 95, 100].map((value) => without(value).parts.spo2)).toEqual([null, null, null])
    expect(without(97).missing).toEqual(['gas'])
  })
})

describe('what is refused', () => {
  it.each([
    ['respiratoryRatePerMin', [-1, 151, 16.5, Number.NaN, Infinity]],
    ['spo2Percent', [0, 101, 104, 93.5, Number.NaN]],
    ['systolicMmHg', [-1, 351, 110.5]],
    ['heartRatePerMin', [-1, 401, 90.5]],
    ['temperatureCel', [19.9, 46.1, 36.05, Number.NaN]],
  ] as const)('%s', (field, values) => {
    for (const value of values) expect(() => news2({ ...well, [field]: value })).toThrow(field)
  })
  it('and how it is said', () => {
    expect(() => news2({ ...well, heartRatePerMin: 90.5 })).toThrow('90.5; allowed: a whole number')
    expect(() => news2({ ...well, temperatureCel: 36.05 })).toThrow('36.05; allowed: one decimal at most')
    expect(() => news2({ ...well, spo2Percent: 104 })).toThrow('allowed: 1 to 100 %')
    expect(() => news2({ ...well, temperatureCel: 50 })).toThrow('allowed: 20 to 46 °C')
    expect(() => news2({ ...well, heartRatePerMin: 500 })).toThrow('allowed: 0 to 400 /min')
    expect(() => news2({ ...well, respiratoryRatePerMin: 500 })).toThrow('allowed: 0 to 150 /min')
    expect(() => news2({ ...well, systolicMmHg: 500 })).toThrow('allowed: 0 to 350 mmHg')
  })
  it('takes both ends of what can be', () => {
    for (const set of [
      { temperatureCel: 20 },
      { temperatureCel: 46 },
      { spo2Percent: 1 },
      { heartRatePerMin: 400 },
    ]) {
      expect(news2({ ...well, ...set }).missing).toEqual([])
    }
  })
  it('children, pregnancy, and words that it does not know', () => {
    expect(() => news2({ ...well, ageYears: 15.9 })).toThrow(OutsideValidity)
    expect(() => news2({ ...well, ageYears: 130 })).toThrow('allowed: 16 to 120 a')
    expect(news2({ ...well, ageYears: 16, pregnant: false }).atLeast).toBe(0)
    expect(() => news2({ ...well, pregnant: true })).toThrow(
      'pregnant is true; allowed: NEWS2 is not for use in',
    )
    expect(() => news2({ ...well, spo2Scale: 3 as 1 })).toThrow('spo2Scale is 3; allowed: 1 or 2')
    expect(() => news2({ ...well, gas: 'heliox' as 'air' })).toThrow('gas is heliox; allowed: air or oxygen')
    expect(() => news2({ ...well, consciousness: 'asleep' as 'alert' })).toThrow(
      'consciousness is asleep; allowed: alert, new confusion, to voice, to pain, unresponsive',
    )
    expect(() => news2({ ...well, gas: 'heliox' as 'air' })).toThrow(BadInput)
  })
})

it('is always 0 to 20 and never falls when oxygen is put on or the patient is less awake', () => {
  const set = fc.record({
    respiratoryRatePerMin: fc.integer({ min: 0, max: 60 }),
    spo2Percent: fc.integer({ min: 60, max: 100 }),
    spo2Scale: fc.constantFrom(1 as const, 2 as const),
    systolicMmHg: fc.integer({ min: 50, max: 260 }),
    heartRatePerMin: fc.integer({ min: 20, max: 200 }),
    temperatureCel: fc.integer({ min: 330, max: 420 }).map((tenths) => tenths / 10),
  })
  fc.assert(
    fc.property(set, (given) => {
      const [best, oxygen, drowsy] = [
        { ...given, gas: 'air' as const, consciousness: 'alert' as const },
        { ...given, gas: 'oxygen' as const, consciousness: 'alert' as const },
        { ...given, gas: 'air' as const, consciousness: 'to voice' as const },
      ].map((each) => news2(each).total?.value ?? Number.NaN)
      expect(best).toBeGreaterThanOrEqual(0)
      expect(oxygen).toBeGreaterThanOrEqual((best ?? 0) + 2)
      expect(drowsy).toBe((best ?? 0) + 3)
      expect(Math.max(oxygen ?? 99, drowsy ?? 99)).toBeLessThanOrEqual(20)
    }),
  )
})
