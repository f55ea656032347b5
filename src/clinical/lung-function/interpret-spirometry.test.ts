import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { BadInput, OutsideValidity } from '../worked.ts'
import { GLI_2012 } from './gli-2012.ts'
import { GLI_GLOBAL_2022 } from './gli-global-2022.ts'
import { interpretSpirometry, MEASURABLE, type SpirometryRequest } from './interpret-spirometry.ts'
import { loadReferenceSystem } from './load-reference-system.ts'
import { NHANES3_1999 } from './nhanes3-1999.ts'
import { PARAMETERS, type ReferenceSystem, unitIn } from './reference-system.ts'

const SYSTEMS = [GLI_GLOBAL_2022, GLI_2012, NHANES3_1999]
const man: SpirometryRequest = { sex: 'male', ageYears: 40, heightCm: 175, parameter: 'FEV1' }
const groupFor = (system: ReferenceSystem) => system.groups[0]

/** Any person that a system covers, with a parameter that it has. */
function requests(system: ReferenceSystem): fc.Arbitrary<SpirometryRequest> {
  const covered = PARAMETERS.filter((parameter) => system.unitOf(parameter) !== null)
  return fc.record({
    sex: fc.constantFrom('female' as const, 'male' as const),
    ageYears: fc.double({ min: system.ages.low, max: system.ages.high, noNaN: true }),
    heightCm: fc.double({ min: 136, max: 210, noNaN: true }),
    parameter: fc.constantFrom(...covered),
    group: fc.constantFrom(...system.groups),
  })
}

describe('a result says all that it stands on', () => {
  it('by the default system', () => {
    const result = interpretSpirometry({ ...man, measured: 2.5 })
    expect(result.reference).toEqual({ system: 'GLI_GLOBAL_2022', version: '2022', group: 'all' })
    expect(result.predicted.steps).toEqual([
      'M = exp(−11.399108 + 2.462664 × ln 175 − 0.011394 × ln 40 + 0.066296) = 3.8355',
      'S = exp(−2.256278 + 0.080729 × ln 40 − 0.021369) = 0.13809',
      'L = 1.22703 = 1.227',
    ])
    expect(result.predicted.validity).toBe('GLI_GLOBAL_2022, group all, ages 3 to 95 a')
    expect(result.predicted.caution).toBeUndefined()
    expect(result.lowerLimit.steps.at(-1)).toBe(
      'lower limit = 3.8355 × (1 − 1.645 × 1.227 × 0.13809)^(1 ÷ 1.227) = 2.9388',
    )
    expect(result.measured?.percentPredicted.steps.at(-1)).toBe('100 × 2.5 ÷ 3.8355 = 65.18 %')
    expect(result.measured?.percentPredicted.steps).toHaveLength(4)
    expect(result.measured?.z.steps.at(-1)).toBe(
      'z = ((2.5 ÷ 3.8355)^1.227 − 1) ÷ (1.227 × 0.13809) = −2.411',
    )
    expect(result.measured?.z.steps).toHaveLength(4)
    expect(result.measured?.z.sources.map(({ key }) => key)).toEqual(['GLI_GLOBAL_2022', 'ERS_ATS_2022'])
    expect(result).toMatchObject({
      parameter: 'FEV1',
      unit: 'L',
      zKind: 'LMS',
      extrapolated: false,
      predicted: { unit: 'L' },
      lowerLimit: { unit: 'L' },
      measured: { belowLowerLimit: true, grade: 'mild', percentPredicted: { unit: '%' }, z: { unit: '1' } },
    })
  })
  it('by GLI-2012 with a group, whose terms are in the working', () => {
    const request = { ...man, group: 'african_american', parameter: 'FEV1FVC' as const }
    const result = interpretSpirometry(request, GLI_2012)
    expect(result.reference).toEqual({ system: 'GLI_2012', version: '2012', group: 'african_american' })
    expect(result.predicted.steps).toEqual([
      'M = exp(0.7403 − 0.1595 × ln 175 − 0.0366 × ln 40 + 0.0079 + 0.0074) = 0.8161',
      'S = exp(−2.9595 + 0.1156 × ln 40 − 0.0381 − 0.1029) = 0.06897',
      'L = 4.7101 − 0.6774 × ln 40 + 0.2021 = 2.4134',
    ])
    expect(result.unit).toBe('1')
    expect(result.measured).toBeNull()
  })
  it('by NHANES III, whose z-score is named as derived', () => {
    const result = interpretSpirometry({ ...man, group: 'caucasian', measured: 2.44 }, NHANES3_1999)
    expect(result.zKind).toBe('derived')
    expect(result.reference).toEqual({ system: 'NHANES3_1999', version: '1999', group: 'caucasian' })
    expect(result.predicted.steps).toEqual([
      'predicted = 0.5536 − 0.01303 × 40 − 0.000172 × 40² + 0.00014098 × 175² = 4.0747',
    ])
    expect(result.lowerLimit.steps).toEqual([
      'lower limit = 0.5536 − 0.01303 × 40 − 0.000172 × 40² + 0.00011607 × 175² = 3.3118',
    ])
    expect(result.measured?.z.steps.at(-1)).toBe(
      'derived z = (2.44 − 4.0747) ÷ ((4.0747 − 3.3118) ÷ 1.645) = −3.525',
    )
    expect(result.measured?.z.steps).toHaveLength(3)
    expect(result.measured?.z.sources.map(({ key }) => key)).toEqual([
      'NHANES3_1999',
      'PSEUDO_Z',
      'ERS_ATS_2022',
    ])
    expect(result.predicted.validity).toBe('NHANES3_1999, group caucasian, ages 8 to 81 a (completed years)')
  })
  it('writes ratios in percent', () => {
    const request = { ...man, group: 'caucasian', parameter: 'FEV1FVC' as const }
    const result = interpretSpirometry(request, NHANES3_1999)
    expect(result.predicted.steps).toEqual(['predicted = 88.066 − 0.2066 × 40 = 79.802 %'])
    expect(result.lowerLimit.steps).toEqual(['lower limit = 78.388 − 0.2066 × 40 = 70.124 %'])
  })
})

describe('where an equation begins and ends', () => {
  const fev1 = (request: Partial<SpirometryRequest>) =>
    interpretSpirometry({ ...man, group: 'caucasian', ...request }, NHANES3_1999).predicted.value

  it('NHANES III: women turn adult at 18, men at 20 (Hankinson 1999, Tables 4 and 5)', () => {
    const woman = (ageYears: number) => fev1({ sex: 'female', heightCm: 165, ageYears })
    expect(woman(17.99)).toBeCloseTo(-0.871 + 0.06537 * 17.99 + 0.00011496 * 165 ** 2, 9)
    expect(woman(18)).toBeCloseTo(0.4333 - 0.00361 * 18 - 0.000194 * 18 ** 2 + 0.00011496 * 165 ** 2, 9)
    const youth = (ageYears: number) => fev1({ ageYears })
    expect(youth(19.99)).toBeCloseTo(
      -0.7453 - 0.04106 * 19.99 + 0.004477 * 19.99 ** 2 + 0.00014098 * 175 ** 2,
      9,
    )
    expect(youth(20)).toBeCloseTo(0.5536 - 0.01303 * 20 - 0.000172 * 20 ** 2 + 0.00014098 * 175 ** 2, 9)
  })
  it('NHANES III: fitted from the 8th birthday through 80; 81 is marked; nothing beyond', () => {
    const at = (ageYears: number) =>
      interpretSpirometry({ ...man, heightCm: 160, group: 'caucasian', ageYears }, NHANES3_1999)
    expect([8, 80, 80.99, 81, 81.99].map((age) => at(age).extrapolated)).toEqual([
      false,
      false,
      false,
      true,
      true,
    ])
    expect(at(81).predicted).toMatchObject({
      caution: 'Extrapolated: the equations were fitted to 80 years.',
    })
    expect(at(81).predicted.sources.map(({ key }) => key)).toEqual(['NHANES3_1999', 'CFR_28_79'])
    expect(at(80).predicted.sources.map(({ key }) => key)).toEqual(['NHANES3_1999'])
    expect(() => at(7.99)).toThrow('ageYears is 7.99; allowed: 8 to 81 a (completed years)')
    expect(() => at(82)).toThrow(OutsideValidity)
  })
  it('GLI: both ends of 3 to 95 and no further', () => {
    for (const system of [GLI_GLOBAL_2022, GLI_2012]) {
      const at = (ageYears: number) =>
        interpretSpirometry({ ...man, heightCm: 120, group: groupFor(system), ageYears }, system)
      expect(at(3).predicted.value).toBeGreaterThan(0.5)
      expect(at(95).predicted.value).toBeGreaterThan(0.5)
      expect(() => at(2.999)).toThrow('ageYears is 2.999; allowed: 3 to 95 a')
      expect(() => at(95.001)).toThrow(OutsideValidity)
    }
  })
  it('GLI: linear between two quarter years, in the logarithm of M once the age term is taken out', () => {
    const lnM = (ageYears: number) =>
      Math.log(interpretSpirometry({ ...man, ageYears }).predicted.value) + 0.011394 * Math.log(ageYears)
    expect(lnM(10.1)).toBeCloseTo(0.6 * lnM(10) + 0.4 * lnM(10.25), 12)
    expect(lnM(10.2)).toBeCloseTo(0.2 * lnM(10) + 0.8 * lnM(10.25), 12)
    expect(lnM(10.25)).not.toBeCloseTo(lnM(10), 4)
  })
  it('warns of a height that the survey did not hold, at both ends, child and adult', () => {
    const caution = (request: Partial<SpirometryRequest>) =>
      interpretSpirometry({ ...man, group: 'caucasian', ...request }, NHANES3_1999).predicted.caution
    expect([157, 158, 194, 195].map((heightCm) => caution({ heightCm }) !== undefined)).toEqual([
      true,
      false,
      false,
      true,
    ])
    const boy = { ageYears: 19.9 }
    expect([121, 122, 192, 193].map((heightCm) => caution({ ...boy, heightCm }) !== undefined)).toEqual([
      true,
      false,
      false,
      true,
    ])
    expect(caution({ heightCm: 195 })).toBe(
      'Height 195 cm lies outside the 158 to 194 cm that were measured for this sex, age and group.',
    )
    expect(caution({ ageYears: 81, heightCm: 195 })).toBe(
      'Extrapolated: the equations were fitted to 80 years. Height 195 cm lies outside the 158 to 194 cm that were measured for this sex, age and group.',
    )
  })
})

describe('NHANES III far outside the heights that it measured', () => {
  const girl: SpirometryRequest = { sex: 'female', ageYears: 80, heightCm: 136, parameter: 'FEF2575' }
  it('says when its lower limit is no value any more', () => {
    const small = interpretSpirometry({ ...girl, group: 'mexican_american' }, NHANES3_1999)
    expect(small.lowerLimit.value).toBeCloseTo(
      1.7456 - 0.01195 * 80 - 0.000291 * 6400 + 0.00004594 * 18496,
      9,
    )
    expect(small.lowerLimit.caution).toBe(
      'The equation puts the lower limit at or below zero: no value can fall below it.',
    )
    const tall = interpretSpirometry({ ...girl, heightCm: 165, group: 'mexican_american' }, NHANES3_1999)
    expect(tall.lowerLimit.caution).toBeUndefined()
  })
  it('refuses when even the predicted value is none', () => {
    const old = { ...girl, heightCm: 80, group: 'mexican_american' }
    expect(() => interpretSpirometry(old, NHANES3_1999)).toThrow('heightCm is 80; allowed: 136 to 172 cm')
  })
})

describe('what is refused', () => {
  it.each([Number.NaN, Infinity, -Infinity, -5, 0, 0.01, 130])('age %s, by every system', (ageYears) => {
    for (const system of SYSTEMS) {
      const request = { ...man, group: groupFor(system), ageYears }
      expect(() => interpretSpirometry(request, system)).toThrow(OutsideValidity)
    }
  })
  it.each([Number.NaN, Infinity, -170, 1.75, 79.99, 230.01])('height %s, by every system', (heightCm) => {
    for (const system of SYSTEMS) {
      const request = { ...man, group: groupFor(system), heightCm }
      expect(() => interpretSpirometry(request, system)).toThrow('heightCm')
    }
  })
  it.each([Number.NaN, Infinity, -1, 0, 0.0499, 12.01, 2500])('a measured FEV1 of %s L', (measured) => {
    expect(() => interpretSpirometry({ ...man, measured })).toThrow(OutsideValidity)
  })
  it('percent where a fraction is due, a fraction where percent is due, L/min where L/s is due', () => {
    const ratio = { ...man, parameter: 'FEV1FVC' as const }
    expect(() => interpretSpirometry({ ...ratio, measured: 70 })).toThrow('0.05 to 1 (fraction)')
    const nhanes = { ...ratio, group: 'caucasian', measured: 0.7 }
    expect(() => interpretSpirometry(nhanes, NHANES3_1999)).toThrow('5 to 100 %')
    const peak = { ...man, parameter: 'PEF' as const, group: 'caucasian', measured: 450 }
    expect(() => interpretSpirometry(peak, NHANES3_1999)).toThrow('0.1 to 25 L/s')
    expect(MEASURABLE.L).toEqual({ low: 0.05, high: 12, unit: 'L' })
  })
  it('a group that is not there, or none among several; a system without groups takes only its own', () => {
    expect(() => interpretSpirometry({ ...man, group: 'caucasian' })).toThrow(
      'group is caucasian; allowed: all',
    )
    expect(() => interpretSpirometry(man, NHANES3_1999)).toThrow(
      'group is missing; allowed: caucasian, african_american, mexican_american',
    )
    expect(() => interpretSpirometry({ ...man, group: 'asian' }, GLI_2012)).toThrow(
      'caucasian, african_american, north_east_asian, south_east_asian, other_mixed',
    )
    expect(interpretSpirometry({ ...man, group: 'all' }).reference.group).toBe('all')
  })
  it('a sex that no equation knows', () => {
    const other = { ...man, sex: 'other' as unknown as 'male' }
    expect(() => interpretSpirometry(other)).toThrow('sex is other; allowed: female or male')
  })
  it('a parameter that the system does not have', () => {
    const peak = { ...man, parameter: 'PEF' as const }
    expect(() => interpretSpirometry(peak)).toThrow(
      'parameter is PEF; allowed: FEV1, FVC, FEV1FVC (in GLI_GLOBAL_2022)',
    )
    expect(() => GLI_GLOBAL_2022.predict(man, 'PEF', 'all')).toThrow(
      'parameter is PEF; allowed: FEV1, FVC, FEV1FVC',
    )
    expect(() => GLI_GLOBAL_2022.predict(man, 'PEF', 'all')).toThrow(BadInput)
    expect(PARAMETERS.map((parameter) => unitIn(NHANES3_1999, parameter))).toEqual([
      'L',
      'L',
      'L',
      '%',
      '%',
      'L/s',
      'L/s',
    ])
  })
})

describe('for every person that a system covers', () => {
  it.each(SYSTEMS.map((system) => [system.name, system] as const))('%s is sound', (_name, system) => {
    fc.assert(
      fc.property(requests(system), fc.double({ min: 0.4, max: 1.05, noNaN: true }), (request, share) => {
        const bare = interpretSpirometry(request, system)
        const { predicted, lowerLimit } = bare
        expect(Number.isFinite(predicted.value) && Number.isFinite(lowerLimit.value)).toBe(true)
        expect(predicted.value).toBeGreaterThan(0)
        expect(lowerLimit.value).toBeLessThan(predicted.value)
        const range = MEASURABLE[bare.unit]
        const low = Math.min(Math.max(predicted.value * share, range.low), range.high / 1.02)
        const [less, more] = [low, low * 1.01].map(
          (measured) => interpretSpirometry({ ...request, measured }, system).measured,
        )
        expect(less && more && less.z.value < more.z.value).toBe(true)
        expect(less && more && less.percentPredicted.value < more.percentPredicted.value).toBe(true)
        expect(less?.belowLowerLimit).toBe(low < lowerLimit.value)
      }),
      { numRuns: 400 },
    )
  })
  it('a taller person has more, in every volume and flow', () => {
    for (const system of SYSTEMS) {
      fc.assert(
        fc.property(requests(system), (request) => {
          const taller = { ...request, heightCm: request.heightCm + 1 }
          const [first, second] = [request, taller].map(
            (each) => interpretSpirometry(each, system).predicted.value,
          )
          const isRatio = request.parameter.startsWith('FEV1F')
          if (!isRatio) expect(second).toBeGreaterThan(first ?? Number.NaN)
        }),
        { numRuns: 200 },
      )
    }
  })
  it('GLI: the lower limit lies at z = −1.645 exactly, and is called normal', () => {
    for (const system of [GLI_GLOBAL_2022, GLI_2012]) {
      fc.assert(
        fc.property(requests(system), (request) => {
          const measured = interpretSpirometry(request, system).lowerLimit.value
          const at = interpretSpirometry({ ...request, measured }, system).measured
          expect(at?.z.value).toBeCloseTo(-1.645, 9)
          expect(at?.belowLowerLimit).toBe(false)
          expect(at?.grade).toBe('normal')
        }),
        { numRuns: 200 },
      )
    }
  })
})

it('loads each system by its name', async () => {
  const loaded = await Promise.all(SYSTEMS.map(({ name }) => loadReferenceSystem(name)))
  expect(loaded).toEqual(SYSTEMS)
})
