import { describe, expect, it } from 'vitest'
import { defaultStopRules, readStopRules, type StopRule, StopRuleDocument } from './stop-rule-document.ts'

const plain = (): StopRuleDocument => structuredClone(defaultStopRules())
/** The default document with one rule changed. */
function changed(id: string, change: Partial<StopRule>): StopRuleDocument {
  const document = plain()
  return {
    ...document,
    rules: document.rules.map((rule) => (rule.id === id ? { ...rule, ...change } : rule)),
  }
}
const problems = (document: unknown): string[] =>
  StopRuleDocument.safeParse(document).error?.issues.map(({ message }) => message) ?? []

describe('a department’s own stop rules', () => {
  it('may differ where a rule can be set', () => {
    const own = changed('S01', {
      when: { measure: 'heartRatePerMin', unit: '/min', changes: 'gt', by: 30 },
    })
    expect(readStopRules({ ...own, version: 2 }).rules[0]?.when).toMatchObject({ by: 30 })
    expect(
      readStopRules({ ...plain(), rules: plain().rules.filter(({ id }) => id !== 'S06') }).rules,
    ).toHaveLength(25)
  })
  it.each(['S04', 'S08', 'S13', 'S22', 'S25'])('%s may not be left out', (id) => {
    const own = { ...plain(), rules: plain().rules.filter((rule) => rule.id !== id) }
    expect(() => readStopRules(own)).toThrow(`${id} is left out; allowed: a rule that stays in every set`)
  })
  it.each([
    ['when', { when: { sign: 'rash' } }],
    ['phases', { phases: ['after' as const] }],
    ['action', { action: 'notify' as const }],
    ['priority', { priority: 50 }],
    ['appliesTo', { appliesTo: { medicines: ['bronchodilator'] } }],
    ['configurable', { configurable: true }],
    ['unless', { unless: { sign: 'rash' } }],
  ])('nor may its %s be changed', (_what, change) => {
    expect(() => readStopRules(changed('S04', change))).toThrow(
      'S04 is changed; allowed: when, action and phases as they are',
    )
  })
  it('a life-threatening sign keeps its list of what it does not turn into a question', () => {
    expect(() => readStopRules(changed('S10', { questionsAllBut: ['S01'] }))).toThrow('S10 is changed')
  })
  it('but may say it in other words', () => {
    expect(readStopRules(changed('S04', { todo: 'Stop at once.' })).rules[3]?.todo).toBe('Stop at once.')
  })
})

describe('a document that is not sound says why', () => {
  it('the default one is', () => {
    expect(problems(plain())).toEqual([])
  })
  it('a unit that is not the measure’s own', () => {
    const when = { measure: 'temperatureCel' as const, unit: 'Fah', is: 'gt' as const, value: 101 }
    expect(problems(changed('S01', { when }))).toEqual(['temperatureCel is in Cel, not Fah'])
    const nested = { any: [{ all: [when] }] }
    expect(problems(changed('S01', { when: nested })).length).toBeGreaterThan(0)
  })
  it('a sign that is not listed, in when and in unless', () => {
    expect(problems(changed('S01', { when: { any: [{ sign: 'hiccups' }] } }))).toEqual([
      'S01: sign "hiccups" is not listed',
    ])
    expect(problems(changed('S01', { unless: { all: [{ sign: 'hiccups' }] } }))).toEqual([
      'S01: sign "hiccups" is not listed',
    ])
  })
  it('a limit that is not there, or is in another unit', () => {
    const limit = (name: string) => ({
      when: { measure: 'heartRatePerMin' as const, unit: '/min', is: 'gt' as const, limit: name },
    })
    expect(problems(changed('S01', limit('none')))).toEqual(['S01: limit none is in no unit, not /min'])
    expect(problems(changed('S01', limit('systolicFloor')))).toEqual([
      'S01: limit systolicFloor is in mm[Hg], not /min',
    ])
  })
  it('an id twice, a source not written down', () => {
    const document = plain()
    const [first] = document.rules
    expect(problems({ ...document, rules: [...document.rules, first] })).toEqual(['two rules have one id'])
    expect(problems(changed('S01', { sources: ['HEARSAY', 'HEARSAY'] }))).toEqual([
      'source HEARSAY is not written down',
    ])
    const limits = { ...document.limits, spo2TargetLow: { unit: '%', sources: ['HEARSAY'], byAge: [] } }
    expect(problems({ ...document, limits })).toEqual(['source HEARSAY is not written down'])
  })
  it('ages that do not rise', () => {
    const ages = (...fromYears: number[]) => ({
      ...plain(),
      limits: {
        ...plain().limits,
        spo2TargetLow: {
          unit: '%',
          sources: ['PRACTICE'],
          byAge: fromYears.map((age) => ({ fromYears: age, value: 90 })),
        },
      },
    })
    expect(problems(ages(0, 5, 5))).toEqual(['limit spo2TargetLow: ages do not rise'])
    expect(problems(ages(0, 5, 6))).toEqual([])
    expect(problems(ages(0))).toEqual([])
  })
  it.each([
    ['a field too many', { extra: 1 }],
    ['another kind', { kind: 'plausibility' }],
    ['version zero', { version: 0 }],
    ['no rules', { rules: [] }],
    ['an empty sign', { signs: [...plain().signs, ''] }],
  ])('%s', (_what, change) => {
    expect(problems({ ...plain(), ...change }).length).toBeGreaterThan(0)
  })
  it.each([
    ['an id that is empty', { id: '' }],
    ['an id that is too long', { id: 'S'.repeat(21) }],
    ['no phase', { phases: [] }],
    ['a phase that is none', { phases: ['later'] }],
    ['an empty list of medicines', { appliesTo: { medicines: [] } }],
    ['a medicine without a name', { appliesTo: { medicines: [''] } }],
    ['a field that no rule has', { appliesTo: { wards: ['7'] } }],
    ['a negative age', { appliesTo: { fromYears: -1 } }],
    ['no words', { what: '' }],
    ['too many words', { todo: 'x'.repeat(401) }],
    ['an action that is none', { action: 'faint' }],
    ['an urgency that is none', { urgency: 'later' }],
    ['a negative priority', { priority: -1 }],
    ['half a priority', { priority: 1.5 }],
    ['a confirmation at once', { confirmAfterMinutes: 0 }],
    ['no source', { sources: [] }],
    ['a note that is too long', { note: 'x'.repeat(801) }],
    ['a standing that is none', { standing: 'sure' }],
    ['a field too many', { extra: 1 }],
  ])('a rule with %s', (_what, change) => {
    expect(problems(changed('S02', change as never)).length).toBeGreaterThan(0)
  })
  it('a rule with every list, an age and a confirmation is sound', () => {
    const full = {
      phases: ['before', 'during', 'after', 'end'] as const,
      appliesTo: {
        medicines: ['a', 'b'],
        conditions: ['c'],
        devices: ['d'],
        drivingGases: ['air'],
        fromYears: 0,
      },
      urgency: 'today' as const,
      priority: 0,
      confirmAfterMinutes: 0.5,
      questionsAllBut: [],
      what: 'x'.repeat(400),
      note: 'x'.repeat(800),
      sources: ['PRACTICE', 'BTS'],
    }
    expect(problems(changed('S02', full as never))).toEqual([])
    const kept = StopRuleDocument.parse(changed('S02', full as never)).rules[1]
    expect(kept).toMatchObject(full)
  })
  it.each([
    ['no source', { unit: '%', sources: [], byAge: [] }],
    ['a negative age', { unit: '%', sources: ['PRACTICE'], byAge: [{ fromYears: -1, value: 90 }] }],
    ['a field too many', { unit: '%', sources: ['PRACTICE'], byAge: [], extra: 1 }],
    ['an age row without a value', { unit: '%', sources: ['PRACTICE'], byAge: [{ fromYears: 1 }] }],
  ])('a limit with %s', (_what, limit) => {
    const limits = { ...plain().limits, spo2TargetLow: limit }
    expect(problems({ ...plain(), limits }).length).toBeGreaterThan(0)
  })
  it('a comparison with both a number and a limit, or neither, is none', () => {
    const base = { measure: 'heartRatePerMin', unit: '/min', is: 'gt' }
    const both = { ...base, value: 1, limit: 'restingHeartRateHigh' }
    expect(problems(changed('S01', { when: both as never })).length).toBeGreaterThan(0)
    expect(problems(changed('S01', { when: base as never })).length).toBeGreaterThan(0)
  })
})
