import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { BadInput } from '../worked.ts'
import { peakFlowResponse, volumeResponse } from './bronchodilator-response.ts'

const fev1 = (beforeMl: number, afterMl: number, predictedMl?: number) =>
  volumeResponse({ parameter: 'FEV1', beforeMl, afterMl, predictedMl })
const said = (...given: Parameters<typeof fev1>) => fev1(...given).verdicts.map(({ positive }) => positive)

describe('two rules, each by its name (2022: more than 10 % of predicted; 2005: 12 % and 200 mL)', () => {
  it.each([
    [2000, 2240, 2400, false, true], // exactly 10 % of predicted, exactly 12 % of baseline
    [2000, 2241, 2400, true, true],
    [2000, 2239, 2400, false, false],
    [2500, 2800, 3001, false, true],
    [2500, 2799, 3000, false, false], // 11.96 % of baseline
    [1000, 1200, 2001, false, true], // exactly 200 mL
    [1000, 1199, 1990, false, false],
    [1000, 1199, 1989, true, false],
    [2600, 2880, 2700, true, false],
    [2000, 1500, 2400, false, false],
    [2000, 2000, 2400, false, false],
  ])('%i to %i mL, %i predicted: 2022 %s, 2005 %s', (before, after, predicted, by2022, by2005) => {
    expect(said(before, after, predicted)).toEqual([by2022, by2005])
  })
  it('gives both reasons with their figures and sources', () => {
    expect(fev1(1500, 1800, 3200)).toEqual({
      parameter: 'FEV1',
      changeMl: 300,
      percentOfBaseline: 20,
      percentOfPredicted: 9.375,
      verdicts: [
        {
          rule: 'ERS_ATS_2022',
          positive: false,
          why: '300 mL of 3200 mL predicted is 9.38 %; more than 10 % is wanted.',
          source: expect.objectContaining({ key: 'ERS_ATS_2022' }),
        },
        {
          rule: 'ATS_ERS_2005',
          positive: true,
          why: '300 mL is 20 % of 1500 mL; at least 12 % and 200 mL are wanted.',
          source: expect.objectContaining({ key: 'ATS_ERS_2005' }),
        },
      ],
      cautions: ['For the diagnosis of asthma, GINA 2024 keeps the rule of 12 % and 200 mL.'],
    })
  })
  it('cannot run the rule of 2022 without a predicted value, and says so', () => {
    const response = fev1(1500, 1800)
    expect(response.percentOfPredicted).toBeNull()
    expect(response.verdicts[0]).toMatchObject({ positive: null, why: 'No predicted value.' })
    expect(response.verdicts[1]?.positive).toBe(true)
  })
  it('rounds a predicted value to whole milliliters', () => {
    expect(said(2000, 2240, 2399.6)[0]).toBe(false) // 2400 mL
    expect(said(2000, 2240, 2399.4)[0]).toBe(true) // 2399 mL
  })
  it.each([0, -1, 1.5, 12_001, Number.NaN, Infinity])('refuses a volume of %s mL, before or after', (ml) => {
    expect(() => fev1(ml, 2000)).toThrow('beforeMl')
    expect(() => fev1(2000, ml)).toThrow('afterMl')
  })
  it('refuses a predicted value that is none, and takes both ends', () => {
    expect(() => fev1(2000, 2200, 0.4)).toThrow(BadInput)
    expect(() => fev1(2000, 2200, 12_001)).toThrow('a whole number of mL, 1 to 12000')
    expect(fev1(1, 12_000, 12_000).changeMl).toBe(11_999)
  })
  it('never turns from positive to not as the second volume rises', () => {
    const ml = fc.integer({ min: 300, max: 6000 })
    fc.assert(
      fc.property(ml, ml, ml, (before, after, predicted) => {
        const [less, more] = [said(before, after, predicted), said(before, after + 1, predicted)]
        less.forEach((positive, at) => {
          if (positive) expect(more[at]).toBe(true)
        })
      }),
    )
  })
})

describe('peak flow (Bel 2013, as quoted): 20 % or 60 L/min, on one meter', () => {
  const change = (before: number, after: number) =>
    peakFlowResponse({ lPerMin: before, scale: 'EU' }, { lPerMin: after, scale: 'EU' })
  it.each([
    [200, 240, true],
    [200, 239, false],
    [400, 460, true],
    [400, 459, false],
    [300, 360, true],
    [300, 250, false],
  ])('%i to %i: %s', (before, after, positive) => {
    expect(change(before, after).verdict.positive).toBe(positive)
  })
  it('says how much', () => {
    expect(change(400, 360)).toEqual({
      changeLPerMin: -40,
      percentOfBaseline: -10,
      verdict: {
        rule: 'PEF_RESPONSE',
        positive: false,
        why: '−40 L/min is −10 % of 400 L/min; at least 20 % or 60 L/min is wanted.',
        source: expect.objectContaining({ key: 'BEL_2013' }),
      },
      cautions: ['A bedside trend, not a formal test: same meter, same scale, same posture.'],
    })
  })
  it.each([0, -1, 1001, 250.5, Number.NaN])('refuses %s L/min, before or after', (lPerMin) => {
    expect(() => change(lPerMin, 300)).toThrow('before')
    expect(() => change(300, lPerMin)).toThrow('after')
  })
  it('takes both ends, and refuses two scales', () => {
    expect(change(1, 1000).changeLPerMin).toBe(999)
    expect(() => peakFlowResponse({ lPerMin: 300, scale: 'Wright' }, { lPerMin: 300, scale: 'EU' })).toThrow(
      'scale is Wright then EU; allowed: the same meter before and after',
    )
    expect(() => change(300, 1001)).toThrow('a whole number of L/min, 1 to 1000')
  })
})
