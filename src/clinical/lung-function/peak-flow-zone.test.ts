import { describe, expect, it } from 'vitest'
import { bandByPercent, peakFlowBand, peakFlowZone } from './peak-flow-zone.ts'

const eu = (lPerMin: number) => ({ lPerMin, scale: 'EU' }) as const

describe('zones (EPR-3): green from 80 %, red below 50 %', () => {
  it.each([
    [400, 'green'],
    [399, 'yellow'],
    [250, 'yellow'],
    [249, 'red'],
    [700, 'green'],
    [1, 'red'],
  ])('%i of 500: %s', (reading, name) => {
    expect(peakFlowZone(eu(reading), { personalBest: eu(500) }).name).toBe(name)
  })
  it('goes by the personal best before the predicted value, and says which', () => {
    const both = { personalBest: eu(500), predicted: eu(300) }
    expect(peakFlowZone(eu(300), both)).toMatchObject({
      name: 'yellow',
      basis: 'personal best',
      scale: 'EU',
      percent: { value: 60, unit: '%' },
      rule: { key: 'EPR3_ZONES' },
    })
    expect(peakFlowZone(eu(300), { predicted: eu(300) })).toMatchObject({ name: 'green', basis: 'predicted' })
  })
  it('has the red limit of the site', () => {
    const zone = (reading: number) => peakFlowZone(eu(reading), { personalBest: eu(500) }, 60).name
    expect([299, 300].map(zone)).toEqual(['red', 'yellow'])
  })
  it.each([0, -1, 80, 95, Number.NaN])('refuses a red limit of %s %%', (limit) => {
    expect(() => peakFlowZone(eu(300), { personalBest: eu(500) }, limit)).toThrow(
      `redBelowPercent is ${limit}; allowed: above 0 and below 80`,
    )
  })
  it('refuses to guess what the reading is held against', () => {
    expect(() => peakFlowZone(eu(300), {})).toThrow(
      'basis is missing; allowed: a personal best or a predicted value',
    )
  })
})

describe('bands of an attack by peak flow alone', () => {
  it.each([
    [361, 'above_moderate'],
    [360, 'moderate'],
    [241, 'moderate'],
    [240, 'severe'],
    [159, 'severe'],
    [158, 'life_threatening'],
  ])('SIGN 158: %i of 480 is %s', (reading, name) => {
    const band = peakFlowBand(eu(reading), { personalBest: eu(480) }, 'BTS_SIGN_ADULT')
    expect(band).toMatchObject({ name, basis: 'personal best', rule: { key: 'BTS_SIGN_2019' } })
  })
  it('SIGN 158: exactly 33 % is severe', () => {
    expect(bandByPercent(33, 'BTS_SIGN_ADULT')).toBe('severe')
    expect(bandByPercent(32.999, 'BTS_SIGN_ADULT')).toBe('life_threatening')
    expect(peakFlowBand(eu(99), { predicted: eu(300) }, 'BTS_SIGN_ADULT').name).toBe('severe')
  })
  it.each([
    [100, 'mild'],
    [70, 'mild'],
    [69.999, 'moderate'],
    [40, 'moderate'],
    [39.999, 'severe'],
    [25, 'severe'],
    [24.999, 'life_threatening'],
    [0, 'life_threatening'],
  ])('EPR-3: %s %% is %s', (percent, name) => {
    expect(bandByPercent(percent, 'EPR3')).toBe(name)
    expect(peakFlowBand(eu(300), { predicted: eu(300) }, 'EPR3').rule.key).toBe('EPR3_BANDS')
  })
  it.each([-0.1, Number.NaN, Infinity])('refuses %s %%', (percent) => {
    expect(() => bandByPercent(percent, 'EPR3')).toThrow('percent')
  })
  it('says what a percentage can be', () => {
    expect(() => bandByPercent(-1, 'EPR3')).toThrow('percent is -1; allowed: 0 to 1000 %')
  })
})
