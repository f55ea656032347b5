import { UcumLhcUtils } from '@lhncbc/ucum-lhc'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { BadInput } from '../../worked.ts'
import { type Strength, strengthMgPerMl, strengthPercent } from './strength.ts'

/** Every way of writing 5 mg/mL. */
const FIVE: readonly Strength[] = [
  { as: 'mg/mL', mgPerMl: 5 },
  { as: 'percent', percent: 0.5 },
  { as: 'ratio', oneGramInMl: 200 },
  { as: 'unit dose', amountMg: 2.5, volumeMl: 0.5 },
  { as: 'reconstituted', amountMg: 30, finalMl: 6 },
  { as: 'molar', mmolPerL: 20, gramsPerMol: 250 },
]

describe('strengthMgPerMl', () => {
  it.each(FIVE)('reads $as', (strength) => {
    expect(strengthMgPerMl(strength)).toMatchObject({ value: 5, unit: 'mg/mL' })
    expect(strengthMgPerMl(strength)).not.toHaveProperty('caution')
  })
  it('says how, with the numbers in it, and from where', () => {
    const said = FIVE.map((strength) => strengthMgPerMl(strength))
    expect(said.map(({ steps }) => steps)).toEqual([
      ['strength = 5 mg/mL'],
      ['0.5 g per 100 mL = 5 mg/mL'],
      ['1 g in 200 mL = 5 mg/mL'],
      ['2.5 mg in 0.5 mL = 5 mg/mL'],
      ['30 mg in 6 mL = 5 mg/mL'],
      ['20 mmol/L × 250 g/mol ÷ 1000 = 5 mg/mL'],
    ])
    expect(said.map(({ sources }) => sources.map(({ key }) => key))).toEqual([
      ['definition'],
      ['percent-definition'],
      ['FDA_RATIO'],
      ['definition'],
      ['definition'],
      ['definition'],
    ])
  })
  it.each([
    [{ as: 'mg/mL', mgPerMl: 0 }, 'strength is 0'],
    [{ as: 'percent', percent: -1 }, 'percent is -1'],
    [{ as: 'percent', percent: 100.1 }, 'percent is 100.1; allowed: at most 100 (grams in 100 mL)'],
    [{ as: 'ratio', oneGramInMl: 0 }, 'ratio is 0'],
    [{ as: 'unit dose', amountMg: Number.NaN, volumeMl: 3 }, 'amount is NaN'],
    [{ as: 'unit dose', amountMg: 1, volumeMl: 0 }, 'volume is 0'],
    [{ as: 'reconstituted', amountMg: 1, finalMl: Number.POSITIVE_INFINITY }, 'volume is Infinity'],
    [{ as: 'molar', mmolPerL: 0, gramsPerMol: 1 }, 'molarity is 0'],
    [{ as: 'molar', mmolPerL: 1, gramsPerMol: 0 }, 'molar mass is 0'],
  ] as const)('refuses %o', (strength, message) => {
    expect(() => strengthMgPerMl(strength)).toThrow(BadInput)
    expect(() => strengthMgPerMl(strength)).toThrow(message)
  })
  it.each([
    [{ as: 'mg/mL', mgPerMl: 1e10 }, '1e-9 to 1000000000 mg/mL'],
    [{ as: 'percent', percent: 1e-10 }, '1e-9 to 1000000000 %'],
    [{ as: 'ratio', oneGramInMl: 1e10 }, '1e-9 to 1000000000 mL'],
    [{ as: 'unit dose', amountMg: 1e10, volumeMl: 3 }, '1e-9 to 1000000000 mg'],
    [{ as: 'unit dose', amountMg: 1, volumeMl: 1e10 }, '1e-9 to 1000000000 mL'],
    [{ as: 'molar', mmolPerL: 1e10, gramsPerMol: 1 }, '1e-9 to 1000000000 mmol/L'],
    [{ as: 'molar', mmolPerL: 1, gramsPerMol: 1e10 }, '1e-9 to 1000000000 g/mol'],
  ] as const)('says what it covers, with the unit: %o', (strength, range) => {
    expect(() => strengthMgPerMl(strength)).toThrow(`allowed: ${range}`)
  })
  it('takes 100 percent', () => {
    expect(strengthMgPerMl({ as: 'percent', percent: 100 }).value).toBe(1000)
  })
})

describe('strengthPercent', () => {
  it('is grams in 100 mL', () => {
    expect(strengthPercent({ as: 'ratio', oneGramInMl: 1000 })).toMatchObject({
      value: 0.1,
      unit: '%',
      steps: ['1 g in 1000 mL = 1 mg/mL', '1 mg/mL ÷ 10 = 0.1 g per 100 mL'],
    })
    expect(strengthPercent({ as: 'ratio', oneGramInMl: 1000 }).sources.map(({ key }) => key)).toEqual([
      'FDA_RATIO',
      'percent-definition',
    ])
  })
  it('is the way back from percent', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 100_000 }), (thousandths) => {
        const percent = thousandths / 1000
        expect(strengthPercent({ as: 'percent', percent }).value).toBe(percent)
      }),
    )
  })
})

describe('held against the units of UCUM, computed by ucum-lhc 7.1.10', () => {
  const ucum = UcumLhcUtils.getInstance()
  const convert = (from: string, value: number, to: string, gramsPerMol?: number) => {
    const answer = ucum.convertUnitTo(from, value, to, gramsPerMol ? { molecularWeight: gramsPerMol } : {})
    expect(answer.status).toBe('succeeded')
    return answer.toVal ?? Number.NaN
  }
  it.each([0.02, 0.083, 0.5, 0.9, 2.25, 7, 20])('%s percent as g/dL', (percent) => {
    expect(strengthMgPerMl({ as: 'percent', percent }).value).toBeCloseTo(
      convert('g/dL', percent, 'mg/mL'),
      9,
    )
  })
  it.each([100, 200, 1000, 5000])('1:%s as g in mL', (volume) => {
    const ours = strengthMgPerMl({ as: 'ratio', oneGramInMl: volume }).value
    expect(ours).toBeCloseTo(convert('g/mL', 1 / volume, 'mg/mL'), 9)
  })
  it('mmol/L with a molar mass', () => {
    const ours = strengthMgPerMl({ as: 'molar', mmolPerL: 250, gramsPerMol: 246.47 }).value
    expect(ours).toBeCloseTo(convert('mmol/L', 250, 'mg/mL', 246.47), 9)
  })
})
