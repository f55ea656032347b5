import { describe, expect, it } from 'vitest'
import type { Course, Look } from './course.ts'
import { judgeLook } from './judge-look.ts'
import { defaultReassessment } from './reassessment-document.ts'

const clear: Look = {
  respiratoryRatePerMin: 16,
  spo2Percent: 96,
  moreOxygenThanUsual: false,
  workOfBreathing: 'easy',
  breathSounds: { 'right lower': ['clear'] },
}
const course = (ageYears: number, spo2TargetLowPercent: number | null = 92): Course => ({
  order: { title: 'x', kind: 'rescue bronchodilator', everyMinutes: 240, asNeeded: true, device: 'other' },
  ageYears,
  spo2TargetLowPercent,
  now: '2026-03-02T20:00:00Z',
  treatments: [],
})
const judged = (change: Partial<Look>, ageYears = 60, target: number | null = 92) =>
  judgeLook({ ...clear, ...change }, course(ageYears, target), defaultReassessment())
const level = (id: string, ...given: Parameters<typeof judged>) => {
  const found = judged(...given).domains.find((domain) => domain.id === id)
  return found && (found.low === found.high ? found.low : [found.low, found.high])
}

describe('levels of each domain', () => {
  it.each([
    [60, { 8: 2, 9: 0, 20: 0, 21: 1, 24: 1, 25: 2 }],
    [12, { 8: 2, 9: 0, 20: 0, 21: 1, 25: 2 }],
    [8, { 9: 2, 10: 0, 25: 0, 26: 1, 30: 1, 31: 2 }],
    [4, { 11: 2, 12: 0, 28: 0, 29: 1, 40: 1, 41: 2 }],
    [2.5, { 14: 2, 15: 0, 37: 0, 38: 1, 40: 1, 41: 2 }],
    [1.5, { 14: 2, 15: 0, 37: 0, 38: 1, 60: 1, 61: 2 }],
    [0.5, { 19: 2, 20: 0, 53: 0, 54: 1, 60: 1, 61: 2 }],
  ])('breathing rate at %s years', (age, levels) => {
    for (const [rate, expected] of Object.entries(levels)) {
      expect([rate, level('breathing rate', { respiratoryRatePerMin: Number(rate) }, age)]).toEqual([
        rate,
        expected,
      ])
    }
  })
  it('oxygen against the target of the patient', () => {
    expect(level('oxygen', { spo2Percent: 92 })).toBe(0)
    expect(level('oxygen', { spo2Percent: 91 })).toBe(2)
    expect(level('oxygen', { spo2Percent: 91 }, 60, 88)).toBe(0)
    expect(level('oxygen', { moreOxygenThanUsual: true })).toBe(1)
    expect(level('oxygen', { moreOxygenThanUsual: true, spo2Percent: 90 })).toBe(2)
  })
  it('effort and sounds', () => {
    const effort = (workOfBreathing: string) => level('effort', { workOfBreathing })
    expect(['easy', 'somewhat labored', 'labored', 'exhausted'].map(effort)).toEqual([0, 1, 2, 2])
    const sounds = (breathSounds: NonNullable<Look['breathSounds']>) => level('sounds', { breathSounds })
    expect(sounds({ 'left upper': ['coarse crackles'] })).toBe(0)
    expect(sounds({ 'left upper': ['wheeze on breathing out'] })).toBe(1)
    expect(sounds({ 'left upper': ['diminished'], 'right upper': ['clear'] })).toBe(1)
    expect(sounds({ 'left upper': ['wheeze both ways'], 'right upper': ['clear'] })).toBe(2)
    expect(sounds({ 'left upper': ['absent'], 'right upper': ['clear'] })).toBe(2)
  })
  it('airflow and breathlessness, when they were measured', () => {
    const airflow = (peakFlowPercent: number) => level('airflow', { peakFlowPercent })
    expect([70, 69, 40, 39].map(airflow)).toEqual([0, 1, 1, 2])
    const breathless = (dyspnea0To10: number) => level('breathlessness', { dyspnea0To10 })
    expect([4, 5, 8, 9].map(breathless)).toEqual([0, 1, 1, 2])
    expect(judged({})).toMatchObject({ of: 8, leftOut: ['airflow', 'breathlessness'] })
    expect(judged({ peakFlowPercent: 80, dyspnea0To10: 1 })).toMatchObject({ of: 12, leftOut: [] })
  })
})

describe('the band of a look', () => {
  it('by the sum; one domain at the worst level is never settled', () => {
    expect(judged({})).toMatchObject({ low: 0, high: 0, band: 'settled', missing: [] })
    expect(judged({ respiratoryRatePerMin: 22 }).band).toBe('settled')
    expect(judged({ respiratoryRatePerMin: 22, workOfBreathing: 'somewhat labored' })).toMatchObject({
      low: 2,
      band: 'unsettled',
    })
    const four = { respiratoryRatePerMin: 26, workOfBreathing: 'labored' }
    expect(judged(four)).toMatchObject({ low: 4, band: 'unsettled' })
    expect(judged({ ...four, moreOxygenThanUsual: true })).toMatchObject({ low: 5, band: 'unwell' })
    expect(judged({ spo2Percent: 90 })).toMatchObject({ low: 2, band: 'unsettled' })
  })
  it('one worst level decides even where the sum alone would not', () => {
    const document = defaultReassessment()
    const strict = { ...document, topLevelIsAtLeast: 'unwell' }
    expect(judgeLook({ ...clear, spo2Percent: 90 }, course(60), strict).band).toBe('unwell')
    expect(judgeLook({ ...clear, moreOxygenThanUsual: true }, course(60), strict).band).toBe('settled')
  })
  it('is open while something required is missing that could change it', () => {
    const { workOfBreathing: _, ...withoutEffort } = clear
    const open = judgeLook(withoutEffort, course(60), defaultReassessment())
    expect(open).toMatchObject({
      low: 0,
      high: 2,
      band: null,
      missing: ['labored or exhausted', 'somewhat labored'],
    })
    expect(open.domains.map(({ words }) => words)).toEqual([
      'breathing rate 0',
      'oxygen 0',
      'effort 0 to 2',
      'sounds 0',
    ])
    const worse = { ...withoutEffort, respiratoryRatePerMin: 26, spo2Percent: 90, moreOxygenThanUsual: true }
    const loud = { ...worse, breathSounds: { 'left lower': ['wheeze both ways'] } } as const
    expect(judgeLook(loud, course(60), defaultReassessment())).toMatchObject({
      low: 6,
      high: 8,
      band: 'unwell',
    })
  })
  it('without a target the oxygen is open, upwards from what is known', () => {
    expect(judged({}, 60, null)).toMatchObject({ low: 0, high: 2, missing: ['limit spo2TargetLow'] })
    expect(level('oxygen', { moreOxygenThanUsual: true }, 60, null)).toEqual([1, 2])
    const { moreOxygenThanUsual: _, ...unknown } = clear
    const partly = judgeLook(unknown, course(60), defaultReassessment())
    expect(partly).toMatchObject({ low: 0, high: 1, band: 'settled', missing: ['more oxygen than usual'] })
  })
  it('no sounds in any zone is not a clear chest', () => {
    expect(judged({ breathSounds: {} }).domains.at(-1)).toMatchObject({ id: 'sounds', low: 0, high: 2 })
  })
})
