import { describe, expect, it } from 'vitest'
import { BadInput, OutsideValidity } from '../worked.ts'
import {
  ASTHMA_GUIDES,
  type AsthmaGuide,
  AsthmaSeverityDocument,
  asthmaSeverity,
  defaultAsthmaSeverity,
} from './asthma-severity.ts'
import type { Snapshot } from './measures.ts'

const found = (values: Snapshot['values'], ...signs: string[]): Snapshot => ({
  values,
  signs: Object.fromEntries(signs.map((sign) => [sign, true])),
})
const severity = (
  guide: AsthmaGuide,
  values: Snapshot['values'],
  age: number | null = null,
  ...signs: string[]
) => asthmaSeverity(guide, found(values, ...signs), age).severity

describe('BTS/SIGN 158, adults', () => {
  const at = (values: Snapshot['values'], ...signs: string[]) => severity('BTS adult', values, 40, ...signs)
  it.each([
    [75.1, 'above moderate'],
    [75, 'moderate'],
    [50.1, 'moderate'],
    [50, 'severe'],
    [33, 'severe'],
    [32.9, 'life-threatening'],
  ])('PEF of %s %% is %s', (peakFlowPercent, expected) => {
    expect(at({ peakFlowPercent })).toBe(expected)
  })
  it('rate, pulse, SpO2 and gases at their edges', () => {
    expect([24, 25].map((respiratoryRatePerMin) => at({ respiratoryRatePerMin }))).toEqual([
      'moderate',
      'severe',
    ])
    expect([109, 110].map((heartRatePerMin) => at({ heartRatePerMin }))).toEqual(['moderate', 'severe'])
    expect([92, 91].map((spo2Percent) => at({ spo2Percent }))).toEqual(['moderate', 'life-threatening'])
    expect([8, 7.9].map((paO2Kpa) => at({ paO2Kpa }))).toEqual(['moderate', 'life-threatening'])
    expect([4.5, 4.6, 6, 6.1].map((paCO2Kpa) => at({ paCO2Kpa }))).toEqual([
      'moderate',
      'life-threatening',
      'life-threatening',
      'near-fatal',
    ])
  })
  it('any one sign outranks a good peak flow', () => {
    const good = { peakFlowPercent: 90, spo2Percent: 97, respiratoryRatePerMin: 14, heartRatePerMin: 80 }
    for (const sign of [
      'altered consciousness',
      'exhaustion',
      'arrhythmia',
      'hypotension',
      'cyanosis',
      'silent chest',
      'poor respiratory effort',
    ]) {
      expect(at(good, sign)).toBe('life-threatening')
    }
    expect(at(good, 'cannot complete a sentence')).toBe('severe')
    expect(at(good, 'ventilated with raised pressures')).toBe('near-fatal')
    expect(at(good)).toBe('above moderate')
  })
  it('says by what, names what nobody looked at, and carries its source', () => {
    const judged = asthmaSeverity(
      'BTS adult',
      { values: { peakFlowPercent: 40, spo2Percent: 95, heartRatePerMin: 120 }, signs: { cyanosis: false } },
      40,
    )
    expect(judged).toMatchObject({
      guide: 'BTS adult',
      severity: 'severe',
      because: [
        { field: 'pef_percent', words: 'PEF in percent of best or predicted 40 %; rule: at or below 50 %' },
        { field: 'pulse', words: 'heart rate 120 /min; rule: at or above 110 /min' },
      ],
      settled: false,
      cautions: ['A severe attack may not look like one. Signs of several classes: treat by the worst.'],
      source: { key: 'BTS_ADULT' },
    })
    expect(judged.missing).toContain('silent chest')
    expect(judged.missing).toContain('arterial oxygen')
    expect(judged.missing).not.toContain('cyanosis')
    expect(judged.missing).not.toContain('cannot complete a sentence')
    expect(new Set(judged.missing).size).toBe(judged.missing.length)
  })
  it('is settled once everything worse was looked at', () => {
    const signs = [
      'ventilated with raised pressures',
      'altered consciousness',
      'exhaustion',
      'arrhythmia',
      'hypotension',
      'cyanosis',
      'silent chest',
      'poor respiratory effort',
    ]
    const values = { peakFlowPercent: 45, spo2Percent: 95, paO2Kpa: 10, paCO2Kpa: 4 }
    const all = { values, signs: Object.fromEntries(signs.map((sign) => [sign, false])) }
    expect(asthmaSeverity('BTS adult', all, 40)).toMatchObject({
      severity: 'severe',
      settled: true,
      missing: [],
    })
    const mild = { ...all, values: { ...values, peakFlowPercent: 80 } }
    expect(asthmaSeverity('BTS adult', mild, 40)).toMatchObject({
      severity: 'above moderate',
      settled: false,
    })
    const known = {
      values: { ...values, respiratoryRatePerMin: 16, heartRatePerMin: 80 },
      signs: { ...all.signs, 'cannot complete a sentence': false },
    }
    const { peakFlowPercent: _, ...without } = known.values
    expect(asthmaSeverity('BTS adult', { ...known, values: without }, 40).missing).toEqual([
      'PEF in percent of best or predicted',
    ])
  })
})

describe('BTS/SIGN 158, children', () => {
  it('2 to 5 years', () => {
    const at = (values: Snapshot['values'], ...signs: string[]) =>
      severity('BTS child 2-5', values, 3, ...signs)
    expect([140, 141].map((heartRatePerMin) => at({ heartRatePerMin }))).toEqual(['moderate', 'severe'])
    expect([40, 41].map((respiratoryRatePerMin) => at({ respiratoryRatePerMin }))).toEqual([
      'moderate',
      'severe',
    ])
    expect([92, 91].map((spo2Percent) => at({ spo2Percent }))).toEqual(['moderate', 'severe'])
    expect(at({ spo2Percent: 95 }, 'too breathless to talk or eat')).toBe('severe')
    expect(at({ spo2Percent: 95 }, 'accessory muscles')).toBe('severe')
    expect([at({ spo2Percent: 91 }, 'agitation'), at({ spo2Percent: 92 }, 'agitation')]).toEqual([
      'life-threatening',
      'moderate',
    ])
  })
  it('over 5 years', () => {
    const at = (values: Snapshot['values'], ...signs: string[]) =>
      severity('BTS child over 5', values, 9, ...signs)
    expect([125, 126].map((heartRatePerMin) => at({ heartRatePerMin }))).toEqual(['moderate', 'severe'])
    expect([30, 31].map((respiratoryRatePerMin) => at({ respiratoryRatePerMin }))).toEqual([
      'moderate',
      'severe',
    ])
    expect([51, 50].map((peakFlowPercent) => at({ peakFlowPercent }))).toEqual(['moderate', 'severe'])
    expect(at({ peakFlowPercent: 32, spo2Percent: 91 })).toBe('life-threatening')
    expect(at({ peakFlowPercent: 32, spo2Percent: 92 })).toBe('severe')
    expect(at({ peakFlowPercent: 33, spo2Percent: 91 })).toBe('severe')
  })
  it('does not wait for a low SpO2 beside a life-threatening sign, and says that print does', () => {
    for (const guide of ['BTS child 2-5', 'BTS child over 5'] as const) {
      const age = guide === 'BTS child 2-5' ? 3 : 9
      for (const sign of ['silent chest', 'poor respiratory effort', 'cyanosis', 'confusion']) {
        expect(severity(guide, { spo2Percent: 95 }, age, sign)).toBe('life-threatening')
      }
      const printed =
        'The printed algorithm asks for SpO2 below 92 % beside the sign; such a sign is not waited upon here.'
      expect(asthmaSeverity(guide, found({ spo2Percent: 92 }, 'cyanosis'), age).cautions).toContain(printed)
      expect(asthmaSeverity(guide, found({}, 'cyanosis'), age).cautions).toContain(printed)
      expect(asthmaSeverity(guide, found({ spo2Percent: 91 }, 'cyanosis'), age).cautions).toHaveLength(1)
      expect(asthmaSeverity(guide, found({ spo2Percent: 95 }), age).cautions).toHaveLength(1)
    }
    expect(asthmaSeverity('BTS adult', found({ spo2Percent: 95 }, 'cyanosis'), 40).cautions).toHaveLength(1)
  })
})

describe('GINA and NAEPP', () => {
  it('GINA to 5 years: pulse by age', () => {
    const pulse = (heartRatePerMin: number, age: number) =>
      severity('GINA 5 and under', { heartRatePerMin }, age)
    expect([pulse(180, 3.9), pulse(181, 3.9), pulse(150, 4), pulse(151, 4)]).toEqual([
      'mild or moderate',
      'severe',
      'mild or moderate',
      'severe',
    ])
    const unknown = asthmaSeverity('GINA 5 and under', found({ heartRatePerMin: 200 }), null)
    expect(unknown.missing).toContain('limit ginaYoungHeartRate')
    for (const sign of ['unable to speak or drink', 'cyanosis', 'confusion', 'drowsy', 'silent chest']) {
      expect(severity('GINA 5 and under', {}, 3, sign)).toBe('severe')
    }
    expect(
      [40, 41].map((respiratoryRatePerMin) => severity('GINA 5 and under', { respiratoryRatePerMin }, 2)),
    ).toEqual(['mild or moderate', 'severe'])
    expect([92, 91].map((spo2Percent) => severity('GINA 5 and under', { spo2Percent }, 2))).toEqual([
      'mild or moderate',
      'severe',
    ])
  })
  it.each([
    ['GINA 6-11', 8],
    ['GINA adult', 40],
  ] as const)('%s', (guide, age) => {
    const at = (values: Snapshot['values'], ...signs: string[]) => severity(guide, values, age, ...signs)
    expect([120, 121].map((heartRatePerMin) => at({ heartRatePerMin }))).toEqual([
      'mild or moderate',
      'severe',
    ])
    expect([30, 31].map((respiratoryRatePerMin) => at({ respiratoryRatePerMin }))).toEqual([
      'mild or moderate',
      'severe',
    ])
    expect([90, 89].map((spo2Percent) => at({ spo2Percent }))).toEqual(['mild or moderate', 'severe'])
    expect([51, 50].map((peakFlowPercent) => at({ peakFlowPercent }))).toEqual(['mild or moderate', 'severe'])
    for (const sign of ['talks in words', 'hunched forward', 'agitation', 'accessory muscles']) {
      expect(at({}, sign)).toBe('severe')
    }
    for (const sign of ['drowsy', 'confusion', 'silent chest']) expect(at({}, sign)).toBe('life-threatening')
  })
  it('NAEPP, all ages', () => {
    const pef = (peakFlowPercent: number) => severity('NAEPP', { peakFlowPercent, spo2Percent: 97 })
    expect([70, 69.9, 40, 39.9, 25, 24.9].map(pef)).toEqual([
      'mild',
      'moderate',
      'moderate',
      'severe',
      'severe',
      'life-threatening',
    ])
    const spo2 = (spo2Percent: number) => severity('NAEPP', { peakFlowPercent: 90, spo2Percent })
    expect([96, 95, 90, 89].map(spo2)).toEqual(['mild', 'moderate', 'moderate', 'severe'])
  })
  it('an SpO2 of 91 % is one thing here and another there: the guide stands beside the class', () => {
    const of = (guide: AsthmaGuide, age: number) => {
      const judged = asthmaSeverity(guide, found({ spo2Percent: 91 }), age)
      return [judged.guide, judged.severity]
    }
    expect([of('GINA 6-11', 8), of('BTS child over 5', 8), of('NAEPP', 8)]).toEqual([
      ['GINA 6-11', 'mild or moderate'],
      ['BTS child over 5', 'severe'],
      ['NAEPP', 'moderate'],
    ])
  })
})

describe('what is refused', () => {
  it.each([
    ['BTS adult', [11.9, 120]],
    ['BTS child 2-5', [1.9, 6]],
    ['BTS child over 5', [5.9, 18]],
    ['GINA 5 and under', [-0.1, 6]],
    ['GINA 6-11', [5.9, 12]],
    ['GINA adult', [11.9, 120]],
    ['NAEPP', [-1, 130]],
  ] as const)('%s at the ages %j', (guide, ages) => {
    for (const age of [...ages, Number.NaN]) {
      expect(() => asthmaSeverity(guide, found({ spo2Percent: 95 }), age)).toThrow(OutsideValidity)
    }
  })
  it('says for whom a guide is', () => {
    expect(() => severity('BTS child 2-5', { spo2Percent: 95 }, 6)).toThrow(
      'ageYears is 6; allowed: 2 to 6 a (upper end excluded)',
    )
    expect(severity('BTS child 2-5', { spo2Percent: 95 }, 5.99)).toBe('moderate')
  })
  it('values that cannot be, and nothing at all', () => {
    const odd = [
      ['peakFlowPercent', [-1, 301, Number.NaN]],
      ['spo2Percent', [0, 101]],
      ['respiratoryRatePerMin', [-1, 151]],
      ['heartRatePerMin', [-1, 401]],
      ['paO2Kpa', [0.9, 101]],
      ['paCO2Kpa', [0.4, 31]],
    ] as const
    for (const [field, values] of odd) {
      for (const value of values) expect(() => severity('BTS adult', { [field]: value })).toThrow(field)
    }
    expect(() => severity('BTS adult', {})).toThrow('findings is none; allowed: at least one finding')
    expect(() => severity('BTS adult', {})).toThrow(BadInput)
  })
})

describe('the document', () => {
  it('has every guide, each with its source', () => {
    expect(Object.keys(defaultAsthmaSeverity().guides).sort()).toEqual([...ASTHMA_GUIDES].sort())
  })
  it('is refused with a source not written down or a limit that is not there', () => {
    const change = (over: object) => AsthmaSeverityDocument.safeParse({ ...defaultAsthmaSeverity(), ...over })
    expect(change({ sources: {} }).error?.issues[0]?.message).toBe('source BTS_ADULT is not written down')
    expect(change({ limits: {} }).error?.issues[0]?.message).toBe(
      'limit ginaYoungHeartRate is not there, or in another unit',
    )
    expect(change({}).success).toBe(true)
  })
})
