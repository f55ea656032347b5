import { describe, expect, it } from 'vitest'
import { BadInput } from '../worked.ts'
import { ASSESSMENT_CALCULATIONS } from './calculations.ts'

function ask(name: string, given: object) {
  const calculation = ASSESSMENT_CALCULATIONS.find((each) => each.name === name)
  if (!calculation) throw new Error(`no calculation is called ${name}`)
  const { result, working } = calculation.run(calculation.input.parse(given))
  return { result: result as Record<string, unknown>, working }
}
const keys = (given: ReturnType<typeof ask>) => given.working.sources.map(({ key }) => key)

describe('scores', () => {
  it('news2 takes the words of the chart and ours, and names what is missing as the input does', () => {
    const voice = (consciousness: string) => ask('news2', { consciousness }).result
    expect(voice('voice')).toEqual(voice('to voice'))
    expect(voice('pain')).toEqual(voice('to pain'))
    expect(voice('voice')).toMatchObject({
      total: null,
      at_least: 3,
      single_3: true,
      risk: null,
      risk_at_least: 'low-medium',
      missing: ['respiration_rate', 'spo2', 'gas', 'systolic_bp', 'pulse', 'temperature'],
    })
    expect(keys(ask('news2', {}))).toEqual(['RCP_2017'])
    expect(() => ask('news2', { age_years: 12 })).toThrow(BadInput)
    expect(() => ask('news2', { pregnant: true })).toThrow(BadInput)
    expect(() => ask('news2', { spo2_scale: 3 })).toThrow()
  })
  it('pram says the range that missing parts leave', () => {
    const { result, working } = ask('pram', { air_entry: 'minimal or absent', wheeze: 'absent' })
    expect(result).toMatchObject({
      total: null,
      at_least: 3,
      at_most: 9,
      missing: ['spo2_room_air', 'suprasternal_retraction', 'scalene_contraction'],
      severity: null,
    })
    expect(working.cautions).toHaveLength(2)
    expect(keys(ask('pram', {}))).toEqual(['PRAM_2008'])
  })
  it('asthma-severity tells a sign that was looked for from one that was not', () => {
    const given = { score: 'BTS adult', pef_percent: 60, sentence: true, signs: { 'silent chest': false } }
    const { result, working } = ask('asthma-severity', given)
    expect(result).toMatchObject({ guide: 'BTS adult', class: 'moderate', because: [], settled: false })
    expect(result.missing).not.toContain('silent chest')
    expect(result.missing).not.toContain('cannot complete a sentence')
    expect(result.missing).toContain('cyanosis')
    expect(keys({ result, working })).toEqual(['BTS_ADULT'])
    expect(working.cautions).toHaveLength(1)
    const silent = ask('asthma-severity', { ...given, signs: { 'silent chest': true } })
    expect(silent.result).toMatchObject({ class: 'life-threatening', because: ['silent chest'] })
    expect(silent.working.steps).toEqual(['silent chest'])
    expect(ask('asthma-severity', { score: 'BTS adult', sentence: false }).result.class).toBe('severe')
    expect(() => ask('asthma-severity', { ...given, signs: { cyanotic: true } })).toThrow(
      'signs.cyanotic is true',
    )
  })
  it.each([
    ['BTS adult', { silent_chest: true }, 'life-threatening'],
    ['BTS adult', { signs: ['exhaustion'] }, 'life-threatening'],
    ['BTS adult', { cannot_complete_sentence: true }, 'severe'],
    ['BTS adult', { talks: 'words' }, 'severe'],
    ['BTS adult', { talks: 'phrases' }, 'severe'],
    ['BTS adult', { talks: 'sentences' }, 'moderate'],
    ['BTS adult', { talks: true }, 'moderate'],
    ['BTS child 2-5', { too_breathless_to_talk_or_eat: true }, 'severe'],
    ['BTS child over 5', { accessory_neck_muscles: true }, 'severe'],
    ['BTS child over 5', { poor_effort: true }, 'life-threatening'],
    ['GINA 5 and under', { central_cyanosis: true }, 'severe'],
    ['GINA 5 and under', { talks: true, unable_to_speak_or_drink: true }, 'severe'],
    ['GINA 6-11', { talks_in_words: true }, 'severe'],
    ['GINA 6-11', { talks: false }, 'severe'],
    ['GINA 6-11', { hunched: true, agitated: false }, 'severe'],
    ['GINA adult', { drowsy: true }, 'life-threatening'],
    ['GINA adult', { drowsy: false }, 'mild or moderate'],
  ])('asthma-severity by %s takes %j for %s', (score, signs, severity) => {
    expect(ask('asthma-severity', { score, spo2: 95, ...signs }).result.class).toBe(severity)
  })
  it.each([
    [
      { signs: { cyanosis: true }, cyanosis: false },
      'cyanosis is at odds with signs; allowed: one answer to: cyanosis',
    ],
    [{ accessory: false, accessory_muscles: true }, 'accessory_muscles is at odds with accessory'],
    [{ sentence: true, talks: 'words' }, 'sentence is at odds with talks'],
    [{ talks_in_words: false, talks: false }, 'talks_in_words is at odds with talks'],
    [{ signs: ['cyanotic'] }, 'signs is cyanotic; allowed: silent chest, cyanosis'],
  ])('asthma-severity refuses %j', (signs, why) => {
    expect(() => ask('asthma-severity', { score: 'BTS adult', spo2: 95, ...signs })).toThrow(why)
  })
  it('asthma-severity reads how somebody talks by guide', () => {
    const child = (talks: unknown) =>
      ask('asthma-severity', { score: 'BTS child 2-5', age_years: 3, talks }).result
    expect([child(true).class, child(false).class]).toEqual(['moderate', 'severe'])
    const young = { score: 'GINA 5 and under', age_years: 3, pulse: 120 }
    expect(ask('asthma-severity', { ...young, talks: false }).result.class).toBe('severe')
    expect(ask('asthma-severity', { ...young, talks: true }).result.class).toBe('mild or moderate')
    const older = (talks: unknown) =>
      ask('asthma-severity', { score: 'GINA 6-11', age_years: 8, talks }).result
    expect(['sentences', 'phrases', 'words'].map((talks) => older(talks).class)).toEqual([
      'mild or moderate',
      'mild or moderate',
      'severe',
    ])
    const accessory = { score: 'GINA 6-11', age_years: 8, accessory: true }
    expect(ask('asthma-severity', accessory).result.because).toEqual(['accessory'])
    const gases = { score: 'BTS adult', paCO2_kPa: 5, paO2_kPa: 7 }
    expect(ask('asthma-severity', gases).result.because).toEqual(['paO2_kPa', 'paCO2_kPa'])
  })
})

describe('at the bedside', () => {
  it('stop-rules', () => {
    const { result, working } = ask('stop-rules', {
      phase: 'during',
      age_years: 60,
      medicines: ['bronchodilator'],
      limits: { spo2TargetLow: 92 },
      baseline: { heartRatePerMin: 90, spo2Percent: 96 },
      now: { heartRatePerMin: 115, spo2Percent: 96 },
      signs: { 'chest pain': false },
    })
    expect(result).toMatchObject({ document_version: 1, strongest: 'stop' })
    expect(result.fired).toEqual([expect.objectContaining({ id: 'S01', tell: 'nurse and prescriber' })])
    expect(result.fired).toEqual([expect.not.objectContaining({ sources: expect.anything() })])
    expect(working.steps).toEqual(['S01: heart rate 115 /min, before 90: change +25 /min'])
    expect(working.cautions).toHaveLength(1)
    expect(keys({ result, working })).toEqual(['PRACTICE', 'KHORFAN2011', 'LAM2003'])
    const bare = ask('stop-rules', { phase: 'during', now: { spo2Percent: 80 }, driving_gas: 'oxygen' })
    expect(bare.result.strongest).toBeNull()
    expect(bare.result.cannot_run).toContainEqual({
      id: 'S05',
      what: expect.any(String),
      missing: ['SpO2 before the treatment', 'limit spo2TargetLow'],
    })
    const retainer = {
      phase: 'during',
      conditions: ['hypercapnic risk'],
      driving_gas: 'oxygen',
      signs: { drowsier: true },
    }
    expect(ask('stop-rules', retainer).result.strongest).toBe('stop')
    const done = { phase: 'end', devices: ['jet nebulizer'], signs: { 'sputters steadily': true } }
    expect(ask('stop-rules', done).result.strongest).toBe('stop')
    expect(() => ask('stop-rules', { phase: 'during', now: { pulse: 90 } })).toThrow()
  })
  it.each([
    [
      { medicines: ['bronchodilator', 'albuterol'] },
      /^medicines is albuterol; allowed: anticholinergic, bland aerosol,/,
    ],
    [{ conditions: ['COPD'] }, /^conditions is COPD; allowed: asthma, hypercapnic risk$/],
    [{ devices: ['kettle'] }, /^devices is kettle; allowed: jet nebulizer$/],
    [{ driving_gas: 'steam' }, /^driving_gas is steam; allowed: air, oxygen, heliox 80\/20/],
    [{ signs: { 'chest ache': true } }, /^signs.chest ache is true; allowed: new arrhythmia, chest pain,/],
  ])('stop-rules refuse %j, a word that no rule would hear', (given, why) => {
    expect(() => ask('stop-rules', { phase: 'during', ...given })).toThrow(why)
  })
  it('vital-ranges', () => {
    const child = ask('vital-ranges', { age_years: 6 })
    expect(child.result).toMatchObject({ hypotension_below_mmHg: 82 })
    expect(child.result.ranges).toHaveLength(5)
    expect(child.result.medians).toHaveLength(3)
    expect(keys(child)).toEqual(['PALS2015', 'APLS2011', 'FLEMING2011'])
    expect(child.working.steps).toContain('PALS 2015, systolic floor: 70 + 2 × 6 completed years = 82 mmHg')
    expect(child.working.cautions).toHaveLength(2)
    expect(ask('vital-ranges', { age_years: 40 }).result.hypotension_below_mmHg).toBeNull()
  })
  it('dyspnea-change, by both names of the numeric scale', () => {
    const change = (scale: string) => ask('dyspnea-change', { scale, before: 6, after: 4 }).result
    expect(change('numeric 0-10')).toEqual({ change: -2, direction: 'better', reaches_mcid: true })
    expect(change('numeric_0_10')).toEqual(change('numeric 0-10'))
    expect(keys(ask('dyspnea-change', { scale: 'modified Borg', before: 4, after: 3 }))).toHaveLength(2)
  })
  it('change-against-noise', () => {
    const { result, working } = ask('change-against-noise', { measure: 'spo2Percent', before: 97, after: 90 })
    expect(result).toMatchObject({ change: -7, beyond_noise: true, verdict: 'worse' })
    expect(working.steps).toEqual(['SpO2 −7 %, beyond its noise of 3 %'])
    expect(working.sources).toHaveLength(1)
  })
  it('plausibility', () => {
    const asked = ask('plausibility', { field: 'spo2Percent', value: 9, age_years: 60 })
    expect(asked.result).toMatchObject({ ok: false, question: 'SpO2 of 9 %: is that so?' })
    expect(keys(asked)).toEqual(['PRACTICE', 'OXIMETER'])
    expect(ask('plausibility', { field: 'spo2Percent', value: 97 }).result).toEqual({
      ok: true,
      low: 70,
      high: 100,
    })
  })
})
