import { describe, expect, it } from 'vitest'
import { COMPARISONS, type Condition, ConditionSchema, partsOf } from './condition.ts'

const pulse = { measure: 'heartRatePerMin', unit: '/min' }
const taken = (condition: unknown) => ConditionSchema.safeParse(condition).success

describe('a condition as a document writes it', () => {
  it.each([
    [{ sign: 'rash' }],
    [{ ...pulse, is: 'gt', value: 130 }],
    [{ ...pulse, is: 'gt', limit: 'restingHeartRateHigh' }],
    [{ ...pulse, changes: 'gt', by: 20 }],
    [{ ...pulse, changesPercent: 'le', by: -10 }],
    [{ any: [{ sign: 'rash' }, { sign: 'hives' }] }],
    [{ all: [{ any: [{ sign: 'rash' }, { ...pulse, is: 'lt', value: 40 }] }, { sign: 'faint' }] }],
  ])('%j is taken, and stays as it is', (condition) => {
    expect(ConditionSchema.parse(condition)).toEqual(condition)
  })
  it('knows four comparisons', () => {
    expect(COMPARISONS).toEqual(['lt', 'le', 'gt', 'ge'])
    for (const is of COMPARISONS) expect(taken({ ...pulse, is, value: 1 })).toBe(true)
    expect(taken({ ...pulse, is: 'eq', value: 1 })).toBe(false)
  })
  it.each([
    [{}],
    [{ sign: '' }],
    [{ sign: 'rash', any: [{ sign: 'hives' }] }],
    [{ ...pulse }],
    [{ ...pulse, is: 'gt' }],
    [{ ...pulse, is: 'gt', value: '130' }],
    [{ ...pulse, is: 'gt', limit: '' }],
    [{ ...pulse, is: 'gt', value: 130, limit: 'x' }],
    [{ measure: 'pulse', unit: '/min', is: 'gt', value: 130 }],
    [{ measure: 'heartRatePerMin', is: 'gt', value: 130 }],
    [{ ...pulse, changes: 'gt' }],
    [{ ...pulse, changes: 'gt', by: 20, extra: 1 }],
    [{ ...pulse, changesPercent: 'gt', by: null }],
    [{ any: [] }],
    [{ all: [] }],
    [{ any: [{ sign: '' }] }],
    [{ all: [{ measure: 'temperatureCel', unit: '[degF]', is: 'gt', value: 101 }] }],
    ['rash'],
  ])('%j is refused', (condition) => {
    expect(taken(condition)).toBe(false)
  })
  it('says which unit a measure has', () => {
    const fahrenheit = { measure: 'temperatureCel', unit: '[degF]', is: 'gt', value: 101 }
    expect(ConditionSchema.safeParse(fahrenheit).error?.issues).toMatchObject([
      { code: 'custom', message: 'temperatureCel is in Cel, not [degF]' },
    ])
  })
  it('is taken apart, itself first', () => {
    const [rash, fast]: [Condition, Condition] = [
      { sign: 'rash' },
      { measure: 'heartRatePerMin', unit: '/min', is: 'gt', value: 130 },
    ]
    const all: Condition = { all: [fast] }
    const any: Condition = { any: [rash, all] }
    expect(partsOf(any)).toEqual([any, rash, all, fast])
    expect(partsOf(rash)).toEqual([rash])
    expect(partsOf(fast)).toEqual([fast])
  })
})
