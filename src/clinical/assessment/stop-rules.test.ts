import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { BadInput, OutsideValidity } from '../worked.ts'
import type { Snapshot } from './measures.ts'
import { defaultStopRules, PHASES, type StopRuleDocument } from './stop-rule-document.ts'
import { judgeStopRules } from './stop-rules.ts'
import { adult, ids, NOTHING, seen, snapshot } from './test-data/asked-of-rules.ts'

describe('whom a rule applies to', () => {
  it('a rule of one medicine, condition, device, gas or phase is silent for another', () => {
    const fast = snapshot({ heartRatePerMin: 140 })
    const before = snapshot({ heartRatePerMin: 90 })
    expect(ids({ medicines: ['hypertonic saline'] }, fast, before)).toEqual([])
    expect(ids({ phase: 'after' }, fast, before)).toEqual([])
    expect(ids({ conditions: [] }, seen('cyanosis'))).toEqual([])
    expect(ids({ phase: 'end', devices: ['mesh nebulizer'] }, seen('sputters steadily'))).toEqual([])
    const retainer = { conditions: ['hypercapnic risk'] }
    expect(ids({ ...retainer, drivingGas: 'air' }, seen('drowsier'))).toEqual([])
    expect(ids({ ...retainer, drivingGas: null }, seen('drowsier'))).toEqual([])
    expect(ids({ drivingGas: 'oxygen' }, seen('drowsier'))).toEqual([])
  })
  it('several medicines in one cup: each has its rules', () => {
    const both = { medicines: ['anticholinergic', 'bronchodilator'] }
    expect(ids(both, seen('eye pain', 'chest pain'))).toEqual(['S03', 'S14'])
  })
  it('NEWS2 is for 16 years and over, and cannot be judged without an age', () => {
    const five = snapshot({ news2Total: 5, news2AtLeast: 5 })
    expect(ids({ phase: 'after', ageYears: 16 }, five)).toEqual(['S26'])
    expect(ids({ phase: 'after', ageYears: 15.99 }, five)).toEqual([])
    const unknown = judgeStopRules({ ...adult, phase: 'after', ageYears: null }, five, NOTHING)
    expect(unknown.fired).toEqual([])
    expect(unknown.cannotRun).toContainEqual({
      id: 'S26',
      what: 'NEWS2 of 5 or more, or 3 in any one part',
      missing: ['age'],
    })
  })
  it('an age that is not known takes no limit of any age: the rule says that it cannot run', () => {
    const steady = snapshot({ systolicMmHg: 50 })
    const low = judgeStopRules({ ...adult, ageYears: null }, steady, steady)
    expect(low.fired).toEqual([])
    expect(low.cannotRun).toContainEqual(expect.objectContaining({ id: 'S07' }))
  })
  it('an acute order silences a hold only when it is known to cover the dose', () => {
    const fast = { heartRatePerMin: 140, minutesUntilDoseAllowed: 10 }
    const before = { phase: 'before' as const }
    const covers = (covered: boolean) => snapshot(fast, { 'acute order covers it': covered })
    expect(ids(before, covers(true))).toEqual([])
    expect(ids(before, covers(false))).toEqual(['S09', 'S12'])
    expect(ids(before, snapshot(fast))).toEqual(['S09', 'S12'])
    const saline = { phase: 'before' as const, medicines: ['hypertonic saline'] }
    const guarded = seen('bronchoconstriction now', 'bronchodilator given and trial supervised')
    expect(ids(saline, guarded)).toEqual([])
  })
  it.each([
    [0, 60],
    [0.08, 70],
    [1, 72],
    [6.9, 82],
    [9.99, 88],
    [10, 90],
    [70, 90],
  ])('the systolic floor at %s years is %s mmHg (PALS 2015 below 10 years)', (ageYears, floor) => {
    const before = snapshot({ systolicMmHg: floor + 10 })
    expect(ids({ ageYears }, snapshot({ systolicMmHg: floor }), before)).toEqual([])
    expect(ids({ ageYears }, snapshot({ systolicMmHg: floor - 1 }), before)).toEqual(['S07'])
  })
  it.each([
    [0.05, 205],
    [0.5, 190],
    [2.5, 140],
    [5.9, 120],
    [8, 118],
    [15.9, 100],
    [16, 130],
  ])(
    'the resting heart rate at %s years may be %s/min (PALS 2015; adults common practice)',
    (ageYears, most) => {
      const context = { phase: 'before' as const, ageYears }
      expect(ids(context, snapshot({ heartRatePerMin: most }))).toEqual([])
      expect(ids(context, snapshot({ heartRatePerMin: most + 1 }))).toEqual(['S09'])
    },
  )
  it('the patient’s own limit outranks the one for the age', () => {
    const before = { phase: 'before' as const, limits: { restingHeartRateHigh: 110 } }
    expect(ids(before, snapshot({ heartRatePerMin: 111 }))).toEqual(['S09'])
    expect(ids({ ...before, ageYears: null }, snapshot({ heartRatePerMin: 111 }))).toEqual(['S09'])
  })
})

describe('a life-threatening sign of asthma turns stops into questions', () => {
  const asthma = { conditions: ['asthma'] }
  const now = snapshot(
    { heartRatePerMin: 140, spo2Percent: 91, systolicMmHg: 85 },
    { 'new arrhythmia': true, 'paradoxical bronchospasm': true, 'asks to stop or cannot bear it': true },
  )
  const before = snapshot({ heartRatePerMin: 110, spo2Percent: 96, systolicMmHg: 120 })

  it('but for paradoxical bronchospasm, hypersensitivity and the patient’s own wish', () => {
    const { fired, strongest } = judgeStopRules({ ...adult, ...asthma }, now, before)
    expect(fired.map(({ id, action, askedBy }) => [id, action, askedBy])).toEqual([
      ['S04', 'stop', null],
      ['S10', 'notify', null],
      ['S25', 'stop', null],
      ['S02', 'notify', 'S10'],
      ['S07', 'notify', 'S10'],
      ['S05', 'notify', 'S10'],
      ['S01', 'notify', 'S10'],
    ])
    expect(strongest).toBe('stop')
    const first = fired.find(({ id }) => id === 'S01')
    expect(first?.ownAction).toBe('stop')
    expect(first?.todo).toBe(
      'Do not stop rescue treatment by this rule alone: ask a clinician now (S10). By itself the rule would say: Stop the nebulizer, measure again, stay with the patient.',
    )
  })
  it('and nothing else does', () => {
    const { fired } = judgeStopRules(adult, now, before)
    expect(fired.every(({ action, ownAction, askedBy }) => action === ownAction && askedBy === null)).toBe(
      true,
    )
    expect(fired.find(({ id }) => id === 'S01')?.todo).toBe(
      'Stop the nebulizer, measure again, stay with the patient.',
    )
  })
  it('a hold before the dose becomes a question too: rescue is not withheld', () => {
    const { fired, strongest } = judgeStopRules(
      { ...adult, ...asthma, phase: 'before' },
      snapshot({ heartRatePerMin: 150, spo2Percent: 88, minutesUntilDoseAllowed: 30 }),
      null,
    )
    expect(fired.map(({ id, action }) => [id, action])).toEqual([
      ['S10', 'notify'],
      ['S09', 'notify'],
      ['S12', 'notify'],
    ])
    expect(strongest).toBe('notify')
  })
  it('what is not rescue is stopped as ever; what a department adds is asked about', () => {
    const saline = { ...adult, ...asthma, medicines: ['hypertonic saline', 'bronchodilator'] }
    const tight = judgeStopRules(saline, seen('cyanosis', 'chest tightness', 'chest pain'), null)
    expect(tight.fired.map(({ id, action }) => [id, action])).toEqual([
      ['S10', 'notify'],
      ['S17', 'stop'],
      ['S03', 'notify'],
    ])
    const [first] = defaultStopRules().rules
    const own = first && { ...first, id: 'H1', when: { sign: 'vomiting' } }
    const document = { ...defaultStopRules(), rules: [...defaultStopRules().rules, ...(own ? [own] : [])] }
    const judged = judgeStopRules({ ...adult, ...asthma }, seen('cyanosis', 'vomiting'), null, document)
    expect(judged.fired.find(({ id }) => id === 'H1')).toMatchObject({ action: 'notify', askedBy: 'S10' })
  })
  it('a rule that only tells stays as it is', () => {
    const told = judgeStopRules(
      { ...adult, ...asthma, phase: 'after' },
      seen('cyanosis', 'worse than before'),
      null,
    )
    expect(told.fired.map(({ id, askedBy }) => [id, askedBy])).toEqual([
      ['S10', null],
      ['S11', null],
    ])
  })
})

describe('what cannot be judged is said, not passed over', () => {
  it('names what is missing, once', () => {
    const { cannotRun, fired, strongest } = judgeStopRules(
      { ...adult, limits: {} },
      snapshot({ heartRatePerMin: 120, spo2Percent: 95 }),
      null,
    )
    expect(fired).toEqual([])
    expect(strongest).toBeNull()
    expect(cannotRun.map(({ id }) => id)).toEqual([
      'S01',
      'S02',
      'S03',
      'S04',
      'S05',
      'S06',
      'S07',
      'S08',
      'S25',
    ])
    const missing = Object.fromEntries(cannotRun.map((rule) => [rule.id, rule.missing]))
    expect(missing.S01).toEqual(['heart rate before the treatment'])
    expect(missing.S02).toEqual(['new arrhythmia'])
    expect(missing.S05).toEqual(['SpO2 before the treatment', 'limit spo2TargetLow'])
    expect(missing.S07).toEqual(['dizzy or near fainting', 'systolic pressure'])
  })
  it('speaks as soon as one part is known to hold, whatever is missing', () => {
    const { fired, cannotRun } = judgeStopRules(adult, snapshot({ spo2Percent: 91 }), null)
    expect(fired.map(({ id }) => id)).toEqual(['S05'])
    expect(cannotRun.map(({ id }) => id)).not.toContain('S05')
  })
  it('is silent, and not among these, when everything was looked at', () => {
    const signs = Object.fromEntries(defaultStopRules().signs.map((sign) => [sign, false]))
    const values = { heartRatePerMin: 90, spo2Percent: 97, systolicMmHg: 120 }
    const { fired, cannotRun } = judgeStopRules(adult, snapshot(values, signs), snapshot(values))
    expect([fired, cannotRun]).toEqual([[], []])
  })
})

describe('a rule that speaks says all of it', () => {
  it('with figures, sources and standing', () => {
    const { fired, documentVersion } = judgeStopRules(
      adult,
      snapshot({ heartRatePerMin: 128 }),
      snapshot({ heartRatePerMin: 100 }),
    )
    expect(documentVersion).toBe(1)
    expect(fired).toEqual([
      {
        id: 'S01',
        what: 'Heart rate has risen by more than 20/min since before the treatment',
        action: 'stop',
        ownAction: 'stop',
        askedBy: null,
        todo: 'Stop the nebulizer, measure again, stay with the patient.',
        tell: 'nurse and prescriber',
        urgency: 'soon',
        priority: 40,
        because: ['heart rate 128 /min, before 100: change +28 /min'],
        confirmAfterMinutes: null,
        standing: 'common practice, no source',
        sources: [
          expect.objectContaining({ key: 'PRACTICE', standing: 'common practice, no source' }),
          expect.objectContaining({ key: 'KHORFAN2011', place: 'abstract' }),
          expect.objectContaining({ key: 'LAM2003' }),
        ],
        note: expect.stringContaining('In proportion'),
      },
    ])
  })
  it('a fall of saturation is confirmed after a minute', () => {
    const [fallen] = judgeStopRules(adult, snapshot({ spo2Percent: 90 }), snapshot({ spo2Percent: 97 })).fired
    expect(fallen).toMatchObject({
      action: 'pause',
      confirmAfterMinutes: 1,
      note: null,
      because: ['SpO2 90 %, before 97: change −7 %', 'SpO2 90 %; rule: below 92 %'],
    })
  })
  it('most pressing first, the stronger action first among equals', () => {
    const { fired, strongest } = judgeStopRules(
      { ...adult, phase: 'during' },
      seen('vomiting', 'chest pain', 'rash', 'dizzy or near fainting'),
      null,
    )
    expect(fired.map(({ id }) => id)).toEqual(['S08', 'S03', 'S07', 'S06'])
    expect(strongest).toBe('stop')
    const [first] = defaultStopRules().rules.filter(({ id }) => id === 'S06')
    const equal = { ...defaultStopRules(), version: 7, rules: [] as StopRuleDocument['rules'] }
    if (first) {
      equal.rules = (['notify', 'hold', 'pause', 'stop'] as const).map((action, at) => ({
        ...first,
        id: `T${at}`,
        action,
      }))
    }
    const judged = judgeStopRules(adult, seen('vomiting'), null, equal)
    expect(judged.fired.map(({ action }) => action)).toEqual(['stop', 'pause', 'hold', 'notify'])
    expect(judged.documentVersion).toBe(7)
    const without = { ...equal, rules: equal.rules.slice(0, 3) }
    expect(judgeStopRules(adult, seen('vomiting'), null, without).strongest).toBe('pause')
  })
})

describe('what is refused', () => {
  it.each([Number.NaN, Infinity, -Infinity])('%s as a value now, before or as a limit', (odd) => {
    const value = snapshot({ heartRatePerMin: odd })
    expect(() => judgeStopRules(adult, value, null)).toThrow(
      `heartRatePerMin is ${odd}; allowed: a finite number, or nothing`,
    )
    expect(() => judgeStopRules(adult, NOTHING, value)).toThrow(BadInput)
    expect(() => judgeStopRules({ ...adult, limits: { spo2TargetLow: odd } }, NOTHING, null)).toThrow(
      BadInput,
    )
  })
  it.each([-1, 130, Number.NaN])('an age of %s', (ageYears) => {
    expect(() => judgeStopRules({ ...adult, ageYears }, NOTHING, null)).toThrow(OutsideValidity)
  })
  it('ages of 0 and 120 are taken; beyond them the range is named', () => {
    for (const ageYears of [0, 120]) {
      expect(judgeStopRules({ ...adult, ageYears }, NOTHING, null).fired).toEqual([])
    }
    expect(() => judgeStopRules({ ...adult, ageYears: 121 }, NOTHING, null)).toThrow(
      'ageYears is 121; allowed: 0 to 120 a',
    )
  })
  it('a phase or a measure that is not known', () => {
    const phase = 'later' as 'during'
    expect(() => judgeStopRules({ ...adult, phase }, NOTHING, null)).toThrow(
      'phase is later; allowed: before, during, after, end',
    )
    const pulse = snapshot({ pulse: 90 } as Snapshot['values'])
    expect(() => judgeStopRules(adult, pulse, null)).toThrow('pulse is given; allowed: heartRatePerMin, ')
    expect(() => judgeStopRules(adult, NOTHING, pulse)).toThrow(BadInput)
  })
})

it('a rule that speaks never falls silent because more was found', () => {
  const signs = fc.subarray([...defaultStopRules().signs].filter((sign) => !/covers|supervised/.test(sign)))
  const context = fc.record({
    phase: fc.constantFrom(...PHASES),
    conditions: fc.subarray(['asthma', 'hypercapnic risk']),
    medicines: fc.subarray(['bronchodilator', 'anticholinergic', 'hypertonic saline', 'iloprost']),
  })
  fc.assert(
    fc.property(context, signs, signs, (where, some, more) => {
      const [less, all] = [ids(where, seen(...some)), ids(where, seen(...some, ...more))]
      expect(all).toEqual(expect.arrayContaining([...less]))
    }),
  )
})

describe('figures that cannot be what they are called', () => {
  it.each([
    [{ heartRatePerMin: -1 }, 'heartRatePerMin is -1; allowed: 0 to 400 /min'],
    [{ spo2Percent: 101 }, 'spo2Percent is 101; allowed: 0 to 100 %'],
    [{ temperatureCel: 98.6 }, 'temperatureCel is 98.6; allowed: 20 to 46 °C'],
    [{ systolicMmHg: 351 }, 'systolicMmHg is 351; allowed: 0 to 350 mmHg'],
  ] as const)('%o is refused, now and before', (values, message) => {
    expect(() => judgeStopRules(adult, snapshot(values), null)).toThrow(message)
    expect(() => judgeStopRules(adult, snapshot({ heartRatePerMin: 80 }), snapshot(values))).toThrow(message)
  })
})
