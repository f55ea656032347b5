import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { Comparison, Condition } from './condition.ts'
import { judge } from './judge-condition.ts'
import type { Snapshot } from './measures.ts'

const heart = (is: Comparison, value: number): Condition => ({
  measure: 'heartRatePerMin',
  unit: '/min',
  is,
  value,
})
const yes: Condition = { sign: 'yes' }
const no: Condition = { sign: 'no' }
const unasked: Condition = { sign: 'unasked' }
const now: Snapshot = {
  values: { heartRatePerMin: 100, temperatureCel: 36.9, fev1Ml: 1800 },
  signs: { yes: true, no: false },
}
const holds = (condition: Condition, baseline: Snapshot | null = null) =>
  judge(condition, { now, baseline, limit: (name) => (name === 'hundred' ? 100 : undefined) })

describe('a number against a number', () => {
  it.each([
    ['lt', [false, false, true]],
    ['le', [false, true, true]],
    ['gt', [true, false, false]],
    ['ge', [true, true, false]],
  ] as const)('%s below, at and above', (is, expected) => {
    expect([99, 100, 101].map((value) => holds(heart(is, value)).holds)).toEqual(expected)
  })
  it('says what was seen and what the rule is', () => {
    expect(holds(heart('ge', 100))).toEqual({
      holds: true,
      because: ['heart rate 100 /min; rule: at or above 100 /min'],
    })
    expect(holds(heart('le', 100))).toMatchObject({ because: [expect.stringContaining('at or below')] })
    expect(holds(heart('lt', 101))).toMatchObject({ because: [expect.stringContaining('rule: below 101')] })
    expect(holds(heart('gt', 99))).toMatchObject({ because: [expect.stringContaining('rule: above 99')] })
    const warm: Condition = { measure: 'temperatureCel', unit: 'Cel', is: 'gt', value: 36.5 }
    expect(holds(warm)).toEqual({ holds: true, because: ['temperature 36.9 °C; rule: above 36.5 °C'] })
  })
  it('against a limit of the patient, or says that there is none', () => {
    const limit = (name: string): Condition => ({
      measure: 'heartRatePerMin',
      unit: '/min',
      is: 'ge',
      limit: name,
    })
    expect(holds(limit('hundred')).holds).toBe(true)
    expect(holds(limit('none'))).toEqual({ holds: null, missing: ['limit none'] })
    const spo2: Condition = { measure: 'spo2Percent', unit: '%', is: 'lt', value: 92 }
    expect(holds(spo2)).toEqual({ holds: null, missing: ['SpO2'] })
  })
  it('without unit words for a score', () => {
    const score: Condition = { measure: 'dyspnea0To10', unit: '{score}', is: 'ge', value: 5 }
    const judged = judge(score, {
      now: { values: { dyspnea0To10: 7 }, signs: {} },
      baseline: null,
      limit: () => 0,
    })
    expect(judged).toEqual({ holds: true, because: ['breathlessness 7; rule: at or above 5'] })
  })
})

describe('a change', () => {
  const warmer = (by: number): Condition => ({ measure: 'temperatureCel', unit: 'Cel', changes: 'ge', by })
  const before: Snapshot = { values: { temperatureCel: 36.4, fev1Ml: 2000 }, signs: {} }
  it('in the unit, not minding the last bits of a binary fraction', () => {
    expect(holds(warmer(0.5), before)).toEqual({
      holds: true,
      because: ['temperature 36.9 °C, before 36.4: change +0.5 °C'],
    })
    expect(holds(warmer(0.6), before).holds).toBe(false)
  })
  it('in percent of what was before', () => {
    const fall = (by: number): Condition => ({ measure: 'fev1Ml', unit: 'mL', changesPercent: 'le', by })
    expect(holds(fall(-10), before)).toEqual({
      holds: true,
      because: ['FEV1 1800 mL, before 2000: change −10 %'],
    })
    expect(holds(fall(-10.1), before).holds).toBe(false)
    const zero: Snapshot = { values: { fev1Ml: 0 }, signs: {} }
    expect(holds(fall(-10), zero)).toEqual({ holds: null, missing: ['FEV1 above zero'] })
  })
  it('cannot be said without the set before, or without the value in it', () => {
    const missing = { holds: null, missing: ['temperature before the treatment'] }
    expect(holds(warmer(0.5), null)).toEqual(missing)
    expect(holds(warmer(0.5), { values: {}, signs: {} })).toEqual(missing)
    const pressure: Condition = { measure: 'systolicMmHg', unit: 'mm[Hg]', changes: 'le', by: -20 }
    expect(holds(pressure, before)).toEqual({ holds: null, missing: ['systolic pressure'] })
  })
  it('of nothing has no sign', () => {
    const same: Condition = { measure: 'heartRatePerMin', unit: '/min', changes: 'ge', by: 0 }
    expect(holds(same, now)).toMatchObject({ because: ['heart rate 100 /min, before 100: change 0 /min'] })
  })
})

describe('any and all, with things not asked', () => {
  it.each([
    [[yes, unasked], true, null],
    [[no, unasked], null, false],
    [[no, no], false, false],
    [[yes, yes], true, true],
    [[yes, no], true, false],
    [[unasked], null, null],
  ] as const)('%j: any %s, all %s', (parts, any, all) => {
    expect(holds({ any: parts }).holds).toBe(any)
    expect(holds({ all: parts }).holds).toBe(all)
  })
  it('carry reasons and what is missing', () => {
    expect(holds({ any: [yes, heart('gt', 90), no] })).toEqual({
      holds: true,
      because: ['yes', 'heart rate 100 /min; rule: above 90 /min'],
    })
    expect(holds({ all: [yes, heart('gt', 90)] })).toMatchObject({ because: ['yes', expect.any(String)] })
    expect(holds({ any: [no, unasked, { sign: 'other' }] })).toEqual({
      holds: null,
      missing: ['unasked', 'other'],
    })
    expect(holds({ all: [yes, unasked] })).toEqual({ holds: null, missing: ['unasked'] })
  })
  it('agree with what they would be if the unknown were known', () => {
    const leaf = fc.constantFrom(yes, no, unasked)
    const tree = fc.letrec<{ node: Condition }>((tie) => ({
      node: fc.oneof(
        { maxDepth: 4 },
        leaf,
        fc.array(tie('node'), { minLength: 1, maxLength: 3 }).map((any) => ({ any })),
        fc.array(tie('node'), { minLength: 1, maxLength: 3 }).map((all) => ({ all })),
      ),
    })).node
    const known = (condition: Condition, asked: boolean) =>
      judge(condition, {
        now: { ...now, signs: { ...now.signs, unasked: asked } },
        baseline: null,
        limit: () => undefined,
      }).holds
    fc.assert(
      fc.property(tree, (condition) => {
        const { holds: verdict } = holds(condition)
        const both = [known(condition, true), known(condition, false)]
        if (verdict !== null) expect(both).toEqual([verdict, verdict])
        else expect(both).toEqual([true, false])
      }),
    )
  })
})
