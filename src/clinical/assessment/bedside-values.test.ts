import { describe, expect, it } from 'vitest'
import { snapshotOf } from './bedside-values.ts'
import { unitShown } from './measures.ts'
import { isSilentChest, wheezeLevel } from './vocabulary.ts'

describe('a set of measurements as the rules read it', () => {
  it('takes over what is there, the best of the blows, and the signs that follow', () => {
    const set = {
      heartRatePerMin: 110,
      rhythm: 'new irregular',
      respiratoryRatePerMin: 24,
      spo2Percent: 93,
      breathSounds: { 'right upper': ['absent'], 'left upper': ['absent'] } as const,
      workOfBreathing: 'exhausted',
      dyspnea0To10: 8,
      peakFlowLPerMin: [150, 170, 160],
      fev1Ml: 900,
      consciousness: 'to voice',
      systolicMmHg: 110,
      temperatureCel: 37.2,
      chestPain: true,
      distress: true,
      tremor: true,
    }
    expect(snapshotOf(set)).toEqual({
      values: {
        heartRatePerMin: 110,
        respiratoryRatePerMin: 24,
        spo2Percent: 93,
        systolicMmHg: 110,
        temperatureCel: 37.2,
        peakFlowLPerMin: 170,
        fev1Ml: 900,
        dyspnea0To10: 8,
      },
      signs: {
        'new arrhythmia': true,
        'altered consciousness': true,
        exhaustion: true,
        'silent chest': true,
        'chest pain': true,
        'agitation or distress': true,
        'marked tremor': true,
      },
    })
  })
  it('a sign looked for and not there is false; one not looked for is absent', () => {
    expect(snapshotOf({})).toEqual({ values: {}, signs: {} })
    const calm = {
      rhythm: 'known irregular',
      consciousness: 'alert',
      workOfBreathing: 'labored',
      breathSounds: { 'right upper': ['clear'], 'left upper': ['absent'] } as const,
      chestPain: false,
    }
    expect(snapshotOf(calm).signs).toEqual({
      'new arrhythmia': false,
      'altered consciousness': false,
      exhaustion: false,
      'silent chest': false,
      'chest pain': false,
    })
    expect(snapshotOf({ peakFlowLPerMin: [] }).values).toEqual({})
  })
  it('adds what somebody saw besides, which outranks what was read from the set', () => {
    const seen = snapshotOf(
      { chestPain: false },
      { 'chest pain': true, rash: false },
      { peakFlowPercent: 40 },
    )
    expect(seen).toEqual({ values: { peakFlowPercent: 40 }, signs: { 'chest pain': true, rash: false } })
  })
})

describe('what is heard', () => {
  it('a chest is silent when no air is heard on both sides', () => {
    expect(isSilentChest({ 'right upper': ['absent'], 'left lower': ['absent'] })).toBe(true)
    expect(isSilentChest({ 'right upper': ['absent'], 'right lower': ['absent'] })).toBe(false)
    expect(isSilentChest({ 'right upper': ['absent'], 'left lower': ['diminished'] })).toBe(false)
    expect(isSilentChest({ 'right upper': ['absent'], 'left lower': ['absent', 'stridor'] })).toBe(false)
    expect(isSilentChest({})).toBe(false)
  })
  it('wheeze has levels, and none that can be told where no air moves', () => {
    expect(
      wheezeLevel({ 'right upper': ['wheeze on breathing out'], 'left upper': ['wheeze both ways'] }),
    ).toBe(2)
    expect(
      wheezeLevel({ 'right upper': ['clear'], 'left upper': ['wheeze on breathing out', 'diminished'] }),
    ).toBe(1)
    expect(wheezeLevel({ 'right upper': ['clear'], 'left upper': ['coarse crackles'] })).toBe(0)
    expect(wheezeLevel({ 'right upper': ['clear'], 'left upper': ['absent'] })).toBeNull()
    expect(wheezeLevel({})).toBeNull()
  })
})

it('units are read as people write them', () => {
  expect(['mm[Hg]', 'Cel', '{score}', '/min'].map(unitShown)).toEqual(['mmHg', '°C', '', '/min'])
})
