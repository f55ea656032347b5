import { describe, expect, it } from 'vitest'
import { changeAgainstNoise, defaultNoise, NoiseDocument } from './change-against-noise.ts'

describe('a change within the noise of its measurement is not called one', () => {
  it.each([
    ['peakFlowLPerMin', 300, 340, 40, false, true, 'no change that can be told'],
    ['peakFlowLPerMin', 300, 341, 41, true, true, 'better'],
    ['peakFlowLPerMin', 300, 259, -41, true, true, 'worse'],
    ['peakFlowLPerMin', 300, 318, 18, false, false, 'no change that can be told'],
    ['peakFlowLPerMin', 300, 319, 19, false, true, 'no change that can be told'],
    ['fev1Ml', 2000, 2150, 150, false, false, 'no change that can be told'],
    ['fev1Ml', 2000, 2229, 229, true, false, 'better'],
    ['fev1Ml', 2000, 2230, 230, true, true, 'better'],
    ['respiratoryRatePerMin', 28, 23, -5, false, null, 'no change that can be told'],
    ['respiratoryRatePerMin', 28, 22, -6, true, null, 'better'],
    ['respiratoryRatePerMin', 22, 28, 6, true, null, 'worse'],
    ['spo2Percent', 93, 96, 3, false, null, 'no change that can be told'],
    ['spo2Percent', 92, 96, 4, true, null, 'better'],
    ['dyspnea0To10', 5, 4, -1, true, true, 'better'],
    ['dyspnea0To10', 5, 5, 0, false, false, 'no change that can be told'],
    ['heartRatePerMin', 80, 86, 6, false, null, 'no change that can be told'],
    ['heartRatePerMin', 80, 87, 7, true, null, null],
    ['systolicMmHg', 120, 109, -11, true, null, null],
  ] as const)('%s %s to %s', (measure, before, after, change, beyondNoise, important, verdict) => {
    expect(changeAgainstNoise(measure, before, after)).toMatchObject({
      change,
      beyondNoise,
      important,
      verdict,
    })
  })
  it('says it, with source', () => {
    const change = changeAgainstNoise('peakFlowLPerMin', 300, 345)
    expect(change.words).toBe('PEF +45 L/min, beyond its noise of 40 L/min')
    expect(change.sources.map(({ key }) => key)).toEqual(['MILLER_2005', 'SANTANELLO_1999'])
    expect(changeAgainstNoise('spo2Percent', 95, 93).words).toBe('SpO2 −2 %, within its noise of 3 %')
    expect(changeAgainstNoise('dyspnea0To10', 5, 3).words).toBe('breathlessness −2, beyond its noise of 0')
    expect(changeAgainstNoise('dyspnea0To10', 5, 5)).toMatchObject({ unit: '{score}', noise: 0 })
  })
  it('does not mind the last bits of a binary fraction', () => {
    expect(changeAgainstNoise('dyspnea0To10', 0.3, 0.1).change).toBe(-0.2)
  })
})

it('refuses a measure whose noise it does not know, and what is no number', () => {
  expect(() => changeAgainstNoise('paO2Kpa', 8, 9)).toThrow(
    'measure is paO2Kpa; allowed: peakFlowLPerMin, fev1Ml, ',
  )
  expect(() => changeAgainstNoise('spo2Percent', Number.NaN, 9)).toThrow('before is NaN; allowed: 0 to 100 %')
  expect(() => changeAgainstNoise('spo2Percent', 9, Infinity)).toThrow('after is Infinity')
})
it('refuses a document with another unit or a source not written down', () => {
  const messages = (over: object) =>
    NoiseDocument.safeParse({ ...defaultNoise(), ...over }).error?.issues.map(({ message }) => message)
  const spo2 = defaultNoise().measures.spo2Percent
  expect(messages({ measures: { spo2Percent: { ...spo2, unit: '1' } } })).toEqual([
    'spo2Percent is in %, not 1',
  ])
  expect(messages({ measures: { spo2Percent: spo2 }, sources: {} })).toEqual([
    'source OXIMETER_SPO2 is not written down',
  ])
  expect(messages({})).toBeUndefined()
})
