import { describe, expect, it } from 'vitest'
import { LUNG_FUNCTION_CALCULATIONS } from './calculations.ts'

function ask(name: string, given: object) {
  const calculation = LUNG_FUNCTION_CALCULATIONS.find((each) => each.name === name)
  if (!calculation) throw new Error(`no calculation is called ${name}`)
  const { result, working } = calculation.run(calculation.input.parse(given))
  return { result: result as Record<string, unknown>, working }
}
const keys = (given: { working: { sources: readonly { key: string }[] } }) =>
  given.working.sources.map(({ key }) => key)
const man = { sex: 'male', age_years: 40, height_cm: 175, parameter: 'FEV1' }

describe('peak-flow', () => {
  it('looks at the age before what is missing is asked for, whole years only where its equation takes them', () => {
    const at = (equation: string, age_years?: number) => () =>
      ask('peak-flow', { equation, ...(age_years !== undefined && { age_years }) })
    expect(at('nunn-gregg-1989', 85.5)).toThrow('age_years is 85.5')
    expect(at('nunn-gregg-1989', 85)).toThrow(/ is missing/)
    expect(at('nhanes3-1999-pef')).toThrow(/ is missing/)
  })
  it('names the source of a reading that was turned into the other scale', () => {
    expect(keys(ask('peak-flow', { equation: 'wright_to_eu', wright_l_min: 300 })).length).toBeGreaterThan(0)
  })
})

describe('lung-function', () => {
  it('goes by the default system, with all its working once', () => {
    const { result, working } = ask('lung-function', { ...man, measured: 2.5 })
    expect(result).toMatchObject({
      system: 'GLI_GLOBAL_2022',
      group: 'all',
      unit: 'L',
      z_kind: 'LMS',
      below_lln: true,
      grade: 'mild',
      extrapolated: false,
    })
    expect(working.steps).toHaveLength(6)
    expect(new Set(working.steps).size).toBe(6)
    expect(working.sources.map(({ key }) => key)).toEqual(['GLI_GLOBAL_2022', 'ERS_ATS_2022'])
    expect(working.cautions).toEqual([])
  })
  it('says nothing of what was not measured', () => {
    const { result } = ask('lung-function', man)
    expect(result).toMatchObject({ percent_predicted: null, z: null, below_lln: null, grade: null })
  })
  it('asks for what is missing, after looking at what is there', () => {
    expect(() => ask('lung-function', { age_years: 40 })).toThrow('parameter is missing; allowed: FEV1, FVC')
    expect(() => ask('lung-function', { age_years: 40, parameter: 'FVC' })).toThrow(
      'sex is missing; allowed: female or male',
    )
    expect(() => ask('lung-function', { age_years: 40, parameter: 'FVC', sex: 'male' })).toThrow(
      'height_cm is missing; allowed: 80 to 230 cm',
    )
    expect(() => ask('bronchodilator-response', { parameter: 'FVC' })).toThrow(
      'pre_l is missing; allowed: 0.001 to 12 L',
    )
    expect(() => ask('bronchodilator-response', { parameter: 'PEF', pre_l_min: 300 })).toThrow(
      'post_l_min is missing; allowed: 1 to 1000 L/min',
    )
    const polgar = { equation: 'polgar-1971-pef', sex: 'male' }
    expect(() => ask('peak-flow', polgar)).toThrow('age_years is missing; allowed: 4 to 17 a')
    expect(() => ask('peak-flow', { ...polgar, age_years: 9 })).toThrow(
      'height_cm is missing; allowed: 110 to 170 cm',
    )
    expect(() => ask('lung-function', { age_years: 40, height_cm: 1.75 })).toThrow('height_cm is 1.75')
    expect(() => ask('lung-function', { age_years: 96 })).toThrow('age_years is 96; allowed: 3 to 95 a')
  })
  it('takes ages in completed years for NHANES III only', () => {
    const at = (age_years: number) => ({ ...man, age_years, system: 'NHANES3_1999', group: 'caucasian' })
    expect(ask('lung-function', at(81.9)).result.extrapolated).toBe(true)
    expect(ask('lung-function', at(81.9)).working.cautions).toEqual([
      'Extrapolated: the equations were fitted to 80 years.',
    ])
    expect(() => ask('lung-function', at(82))).toThrow('age_years is 82')
    expect(() => ask('lung-function', { ...man, age_years: 95.5 })).toThrow('age_years is 95.5')
  })
  it('tells the age as it came, not in completed years', () => {
    const child = { equation: 'nhanes3-1999-pef', sex: 'male', group: 'caucasian', height_cm: 120 }
    expect(() => ask('peak-flow', { ...child, age_years: 7.99 })).toThrow(
      'age_years is 7.99; allowed: 8 to 81 a',
    )
    expect(ask('peak-flow', { ...child, height_cm: 170, age_years: 81.99 }).working.cautions).toEqual([
      'Extrapolated: the equations were fitted to 80 years.',
    ])
    expect(() => ask('peak-flow', { ...child, age_years: 82 })).toThrow('age_years is 82')
  })
  it.each(['pre', 'post', 'predicted'])('takes liters that a blow can be for %s, and says which', (name) => {
    const good = { parameter: 'FEV1', pre_L: 2, post_L: 2.5, predicted_L: 3 }
    for (const field of [`${name}_L`, `${name}_l`]) {
      const { [`${name}_L`]: _, ...rest } = good as Record<string, unknown>
      const at = (liters: number) => ask('bronchodilator-response', { ...rest, [field]: liters })
      for (const liters of [0.001, 12]) expect(at(liters).result).toHaveProperty('change_mL')
      for (const liters of [-1, 0, 0.0005, 12.001, 2500])
        expect(() => at(liters)).toThrow(`${field} is ${liters}; allowed: 0.001 to 12 L`)
    }
  })
  it('takes liters that a blow can be for every blow of a session', () => {
    const at = (blow: number) => ask('spirometry-repeatability', { age_years: 40, blows_l: [3, blow, 3.1] })
    for (const liters of [0.001, 12]) expect(at(liters).result.best_ml).toBeGreaterThanOrEqual(3100)
    for (const liters of [-1, 0, 0.0005, 12.001, 3100])
      expect(() => at(liters)).toThrow(`blows_l is ${liters}; allowed: 0.001 to 12 L`)
  })
  it('refuses a unit in which the system does not give the parameter', () => {
    const ratio = { ...man, parameter: 'FEV1FVC' }
    expect(() => ask('lung-function', { ...ratio, unit: 'percent' })).toThrow(
      'unit is percent; allowed: fraction',
    )
    expect(ask('lung-function', { ...ratio, unit: 'fraction' }).result.unit).toBe('fraction')
  })
})

describe('the smaller ones', () => {
  it('severity names the standard', () => {
    expect(keys(ask('spirometry-severity', { z: -2 }))).toEqual(['ERS_ATS_2022'])
    const percent = ask('spirometry-severity', { rule: 'percent_predicted_severity_2005', percent: 55 })
    expect(percent.result).toEqual({ grade: 'moderately_severe' })
    expect(keys(percent)).toEqual(['ATS_ERS_2005'])
  })
  it('response answers in both spellings, and by one rule when it is named', () => {
    const small = { parameter: 'FEV1', pre_l: 2, post_l: 2.24, predicted_l: 2.4 }
    const large = { parameter: 'FEV1', pre_L: 2, post_L: 2.24, predicted_L: 2.4 }
    expect(ask('bronchodilator-response', small).result).toEqual(ask('bronchodilator-response', large).result)
    expect(ask('bronchodilator-response', small).result).toEqual({
      change_ml: 240,
      change_mL: 240,
      change_percent: 12,
      change_percent_of_baseline: 12,
      change_percent_of_predicted: 10,
      change_percent_predicted: 10,
      ATS_ERS_2005: true,
      ERS_ATS_2022: false,
    })
    const named = (score: string) => ask('bronchodilator-response', { ...large, score }).result.positive
    expect(['ERS/ATS 2021 response', 'ATS/ERS 2005 response'].map(named)).toEqual([false, true])
    expect(ask('bronchodilator-response', small).working.steps).toEqual([
      'ERS_ATS_2022: 240 mL of 2400 mL predicted is 10 %; more than 10 % is wanted.',
      'ATS_ERS_2005: 240 mL is 12 % of 2000 mL; at least 12 % and 200 mL are wanted.',
    ])
  })
  it('response refuses both spellings at once, a missing field, and a fourth decimal', () => {
    const base = { parameter: 'FEV1', pre_l: 2, post_l: 2.24 }
    expect(() => ask('bronchodilator-response', { ...base, pre_L: 2 })).toThrow('pre_l is given twice')
    expect(() => ask('bronchodilator-response', { parameter: 'FEV1', pre_l: 2 })).toThrow('post_l is missing')
    expect(() => ask('bronchodilator-response', { ...base, pre_l: 2.0005 })).toThrow(
      'pre_l is 2.0005; allowed: liters with three decimals at most',
    )
    expect(ask('bronchodilator-response', { ...base, post_l: 2.239 }).result.change_ml).toBe(239)
  })
  it('response of peak flow, by its own rule', () => {
    const { result, working } = ask('bronchodilator-response', {
      parameter: 'PEF',
      pre_l_min: 200,
      post_l_min: 240,
    })
    expect(result).toEqual({ change_l_min: 40, change_percent_of_baseline: 20, PEF_RESPONSE: true })
    expect(working.steps).toEqual(['40 L/min is 20 % of 200 L/min; at least 20 % or 60 L/min is wanted.'])
    expect(working.cautions).toHaveLength(1)
    expect(() => ask('bronchodilator-response', { parameter: 'PEF', pre_l_min: 200 })).toThrow('post_l_min')
    expect(() => ask('bronchodilator-response', { parameter: 'PEF', post_l_min: 200 })).toThrow('pre_l_min')
  })
  it('spirometry blows in liters', () => {
    const { result, working } = ask('spirometry-repeatability', { age_years: 6, blows_l: [1.2, 1.08, 1.0] })
    expect(result).toEqual({
      best_ml: 1200,
      difference_of_two_best_ml: 120,
      allowed_ml: 120,
      repeatable: true,
      ask_for_more: false,
      what_to_do: 'Record 1200 mL, the best of 3.',
    })
    expect(working.sources).toHaveLength(1)
  })
  it('peak flow in percent of predicted, with the scale of the meter', () => {
    const given = {
      equation: 'nhanes3-1999-pef',
      group: 'caucasian',
      sex: 'male',
      age_years: 40,
      height_cm: 175,
    }
    const { result, working } = ask('peak-flow', { ...given, measured_l_min: 300, scale: 'EU' })
    expect(result).toMatchObject({ scale: 'spirometric', version: '1999', group: 'caucasian' })
    expect(result.percent_predicted).toBeCloseTo(50.382, 2)
    expect(result.lln_l_min).toBeCloseTo(460.81, 2)
    expect(working.steps).toHaveLength(5)
    expect(ask('peak-flow', given).result.percent_predicted).toBeNull()
    expect(() => ask('peak-flow', { ...given, measured_l_min: 300 })).toThrow('scale')
    expect(() => ask('peak-flow', { ...given, age_years: 7.9 })).toThrow('age_years is 7')
    expect(ask('peak-flow', { ...given, age_years: 81.5 }).working.cautions).toHaveLength(1)
    expect(() => ask('peak-flow', { ...given, height_cm: 1.75 })).toThrow('height_cm is 1.75')
    expect(() => ask('peak-flow', { equation: 'china-2017', age_years: 8 })).toThrow('sex is missing')
    expect(() => ask('peak-flow', { equation: 'china-2017', sex: 'male', height_cm: 120 })).toThrow(
      'age_years',
    )
    expect(() => ask('peak-flow', { equation: 'china-2017', sex: 'male', age_years: 8 })).toThrow('height_cm')
    const child = { equation: 'china-2017', sex: 'male', age_years: 8, height_cm: 128 }
    expect(ask('peak-flow', child).result.lln_l_min).toBeNull()
  })
  it('a Wright reading on the EU scale', () => {
    expect(ask('peak-flow', { equation: 'wright_to_eu', wright_l_min: 300 }).result.scale).toBe('EU')
  })
  it('peak-flow blows carry cautions and sources', () => {
    const { result, working } = ask('peak-flow-repeatability', { blows: [350, 330, 320] })
    expect(result.what_to_do).toBe('Record 350 L/min, the best of 3.')
    expect(working.cautions).toHaveLength(1)
    expect(working.sources).toHaveLength(3)
  })
  it('zones say what they went by', () => {
    const zone = ask('zones', { pef: 300, personal_best: 500, predicted: 300, scale: 'EU' })
    expect(zone.result).toEqual({ zone: 'yellow', percent: 60, basis: 'personal best', scale: 'EU' })
    expect(zone.working.cautions).toEqual([])
    expect(keys(zone)).toEqual(['EPR3_ZONES'])
    expect(ask('zones', { pef: 300, predicted: 300 }).working.cautions).toHaveLength(1)
    expect(ask('zones', { pef: 299, predicted: 500, red_below_percent: 60 }).result.zone).toBe('red')
    const band = ask('zones', { rule: 'BTS_SIGN_ADULT_pef_only', pef: 240, predicted: 480, scale: 'EU' })
    expect(band.result).toEqual({ band: 'severe', percent: 50, basis: 'predicted', scale: 'EU' })
    expect(keys(band)).toEqual(['BTS_SIGN_2019'])
    const american = ask('zones', { rule: 'EPR3_pef_only', percent: 69.9 })
    expect(american.result).toEqual({ band: 'moderate', percent: 69.9 })
    expect(keys(american)).toEqual(['EPR3_BANDS'])
    expect(() => ask('zones', { pef: 300 })).toThrow('basis is missing')
  })
})
