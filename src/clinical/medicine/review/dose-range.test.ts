import { describe, expect, it } from 'vitest'
import { OutsideValidity } from '../../worked.ts'
import { defaultFormulary } from '../formulary/formulary.ts'
import type { OrderLine, OrderToReview } from './order.ts'
import { isAcute } from './order-review.ts'
import { adult, albuterol, child, codes, finding, line, order, review } from './review-cases.test-help.ts'

describe('dose against the published range for age and weight', () => {
  it('25 mg of albuterol stops: ten times the usual dose', () => {
    const found = finding(order([line('albuterol', 25, 'mg')]), 'dose-above:albuterol')
    expect(found).toMatchObject({
      severity: 'stop',
      whoMustAnswer: 'prescriber',
      what: 'albuterol: the dose is above any published single dose; a slip of the decimal point is possible: call the prescriber',
      why: 'ordered 25 mg; published 2.5 mg: 2.5 mg three or four times a day; largest published single dose 10 mg',
    })
    expect(found?.sources.join()).toContain('verified-secondary')
  })
  it('boundaries: routine 2.5 mg, largest 10 mg', () => {
    const at = (mg: number, more = {}) =>
      codes(order([line('albuterol', mg, 'mg')], { frequency: { once: true }, ...more }))
    expect(at(2.5)).toEqual([])
    expect(at(2.49)).toEqual(['ask dose-below:albuterol'])
    expect(at(2.51)).toEqual(['ask dose-above-usual:albuterol'])
    expect(at(10)).toEqual(['ask dose-above-usual:albuterol'])
    expect(at(10.01)).toEqual(['stop dose-above:albuterol', 'ask over-24-hours:albuterol'])
    expect(at(10, { acute: true })).toEqual([])
    expect(at(10.01, { acute: true })).toContain('stop dose-above:albuterol')
  })
  it('names a slip of the point from five times the usual dose on', () => {
    const what = (mg: number) => finding(order([line('albuterol', mg, 'mg')]), 'dose-above:albuterol')?.what
    expect(what(12.5)).not.toContain('slip')
    expect(what(12.6)).toContain('slip')
  })
  it('judges both ends of a range', () => {
    const range = (low: number, high: number) =>
      codes(
        order([line('albuterol', low, 'mg', { amountMax: high })], {
          acute: true,
          frequency: { once: true },
        }),
      )
    expect(range(2.5, 5)).toEqual([])
    expect(range(2.5, 20)).toContain('stop dose-above:albuterol')
    expect(range(1, 5)).toEqual(['ask dose-below:albuterol'])
  })
  it('by weight for a child, limits shown', () => {
    const acute = { acute: true, frequency: { once: true }, indication: 'asthma attack' }
    const at = (mg: number, years: number, kg: number) =>
      codes(order([line('levalbuterol', mg, 'mg')], acute), child(years, kg))
    // 0.075 to 0.15 mg/kg for 18 kg is 1.35 to 2.7 mg
    expect(at(1.35, 5, 18)).toEqual([])
    expect(at(2.7, 5, 18)).toEqual([])
    expect(at(1.34, 5, 18)).toEqual(['ask dose-below:levalbuterol'])
    expect(at(2.71, 5, 18)).toEqual(['stop dose-above:levalbuterol'])
    expect(at(1.25, 5, 10)).toEqual([]) // not under 1.25 mg, whatever the weight
    expect(at(5, 11, 60)).toEqual(['note over-24-hours:levalbuterol']) // not over 5 mg
    expect(at(5.01, 11, 60)).toContain('stop dose-above:levalbuterol')
  })
  it('asks for age and weight when the dose depends on them', () => {
    const unknown = { ...adult, ageDays: null, weightKg: null }
    expect(codes(order([albuterol]), unknown)).toEqual([
      'ask age-missing:albuterol',
      'ask weight-missing:albuterol',
    ])
    expect(codes(order([albuterol]), { ...adult, weightKg: null })).toEqual([])
    expect(codes(order([albuterol]), child(4, null))).toEqual(['ask weight-missing:albuterol'])
    expect(
      codes(order([line('acetylcysteine', 800, 'mg')]), {
        ...unknown,
        conditions: [{ code: 'cystic-fibrosis', text: 'CF' }],
      }),
    ).toEqual([])
  })
  it('asks where no dose is published for the age', () => {
    const found = finding(
      order([line('arformoterol', 15, 'mcg')]),
      'no-published-dose:arformoterol',
      child(8, 25),
    )
    expect(found).toMatchObject({ severity: 'ask', why: 'not for children' })
    expect(found?.sources).toEqual(['Known to the authors and not looked up (from memory)'])
    expect(
      codes(order([line('tobramycin', 300, 'mg')], { frequency: { timesPerDay: 2 } }), child(5.9, 20)),
    ).toEqual(['ask no-published-dose:tobramycin'])
    expect(
      codes(order([line('tobramycin', 300, 'mg')], { frequency: { timesPerDay: 2 } }), child(6.1, 20)),
    ).toEqual([])
  })
  it('never stops on a range from memory: it asks', () => {
    const found = finding(order([line('amikacin', 5000, 'mg')]), 'dose-above:amikacin')
    expect(found).toMatchObject({
      severity: 'ask',
      sources: ['Known to the authors and not looked up (from memory)'],
    })
  })
  it('reads milliliters only where the strength is clear', () => {
    const once = { frequency: { once: true } }
    const nac = (more: Partial<OrderLine>, ml = 4) =>
      codes(order([line('acetylcysteine', ml, 'mL', more)], once), {
        ...adult,
        conditions: [{ code: 'E84.0', text: 'CF' }],
      })
    expect(nac({ strength: '20 %' })).toEqual([])
    expect(nac({ strength: '20 %' }, 10)).toEqual([])
    expect(nac({ strength: '20 %' }, 10.1)).toEqual(['stop dose-above:acetylcysteine'])
    expect(nac({ strength: '10 %' }, 1.9)).toEqual(['ask dose-below:acetylcysteine'])
    expect(nac({})).toEqual(['ask dose-not-comparable:acetylcysteine'])
    expect(nac({ strength: '0,2' })).toEqual(['ask dose-not-comparable:acetylcysteine'])
    const racemic = (ml: number) =>
      codes(order([line('racemic-epinephrine', ml, 'mL')], { ...once, indication: 'croup' }), child(2, 12))
    expect(racemic(0.5)).toEqual(['caution watch-after-epinephrine:racemic-epinephrine'])
    expect(racemic(0.61)).toContain('ask dose-above:racemic-epinephrine') // weak source: asks
  })
  it('never turns the units of colistimethate into each other', () => {
    expect(codes(order([line('colistimethate', 150, 'mg')]))).toContain(
      'ask dose-not-comparable:colistimethate',
    )
    const cba = order([line('colistimethate', 150, 'mg colistin base activity')], {
      frequency: { timesPerDay: 2 },
    })
    expect(codes(cba)).not.toContain('ask dose-not-comparable:colistimethate')
    const iu = order([line('colistimethate', 2_000_000, 'IU')], { frequency: { timesPerDay: 3 } })
    expect(codes(iu).filter((code) => /dose|over/.test(code))).toEqual([])
    expect(codes(order([line('colistimethate', 2.1, 'million IU')]))).toContain(
      'ask dose-above:colistimethate',
    )
  })
  it('stops at a unit that cannot be read', () => {
    expect(codes(order([line('albuterol', 2, 'puffs')]))).toEqual(['stop unit-unknown:albuterol'])
  })
  it('counts breaths and vials', () => {
    const breaths = (count: number) => codes(order([line('treprostinil', count, 'breaths')]))
    expect(breaths(12)).toEqual([])
    expect(breaths(13)).toContain('stop dose-above:treprostinil')
    expect(codes(order([line('treprostinil', 54, 'mcg')]))).toEqual([])
    expect(codes(order([line('ipratropium-albuterol', 1, 'vial')]))).toEqual([])
    expect(codes(order([line('ipratropium-albuterol', 2, 'vial')]))).toContain(
      'stop dose-above:ipratropium-albuterol',
    )
    expect(codes(order([line('ipratropium-albuterol', 3, 'mg')]))).toEqual([
      'ask dose-not-comparable:ipratropium-albuterol',
    ])
  })
  it('continuous: milligrams each hour', () => {
    const at = (mgH: number, patient = adult) =>
      codes(order([line('albuterol', mgH, 'mg/h')], { frequency: { continuous: true } }), patient)
    expect(at(15)).toEqual([])
    expect(at(16)).toContain('stop dose-above:albuterol')
    expect(at(9)).toEqual(['ask dose-below:albuterol'])
    expect(at(8, child(5, 16))).toEqual([]) // 0.5 mg/kg/h
    expect(at(9, child(5, 16))).toContain('stop dose-above:albuterol')
    expect(codes(order([line('ipratropium', 1, 'mg/h')], { frequency: { continuous: true } }))).toEqual([
      'ask no-published-dose:ipratropium',
    ])
  })
  it('refuses an age or weight that no person has', () => {
    expect(() => review(order([albuterol]), { ...adult, weightKg: Number.NaN })).toThrow(OutsideValidity)
    expect(() => review(order([albuterol]), { ...adult, ageDays: -1 })).toThrow(/^age is -1/)
    expect(() => review(order([albuterol]), { ...adult, weightKg: 0.1 })).toThrow(/^weight is 0.1/)
  })
})

describe('how often', () => {
  it('asks when doses are closer than the shortest gap', () => {
    const every = (minutes: number, more = {}) =>
      codes(order([albuterol], { frequency: { everyMinutes: minutes }, ...more }))
    expect(every(240).filter((code) => code.includes('too-early'))).toEqual([])
    expect(every(239)).toContain('ask too-early:albuterol')
    expect(every(20, { acute: true }).filter((code) => code.includes('too-early'))).toEqual([])
    expect(every(19, { acute: true })).toContain('ask too-early:albuterol')
  })
  it('asks when a day comes to more than the published regimen, and only shows it for an acute order', () => {
    const total = (more: Partial<OrderToReview>) =>
      finding(order([albuterol], more), 'over-24-hours:albuterol')
    expect(total({ frequency: { timesPerDay: 4 } })).toBeUndefined()
    expect(total({ frequency: { timesPerDay: 5 } })).toMatchObject({
      severity: 'ask',
      whoMustAnswer: 'prescriber',
      why: expect.stringContaining('5 times 2.5 mg is 12.5 mg in 24 h; published 10 mg'),
    })
    expect(total({ frequency: { everyMinutes: 240 } })).toMatchObject({ severity: 'ask' })
    expect(total({ frequency: { everyMinutes: 240 }, acute: true })).toMatchObject({ severity: 'note' })
    expect(total({ frequency: { once: true } })).toBeUndefined()
  })
  it('counts an order as needed as often as its gap allows', () => {
    const prn = (minimumGapMinutes: number) =>
      codes(order([albuterol], { frequency: null, prn: { reason: 'wheeze', minimumGapMinutes } })).filter(
        (code) => !code.includes('frequency'),
      )
    expect(prn(360)).toEqual([])
    expect(prn(240)).toEqual(['ask over-24-hours:albuterol'])
    expect(prn(120)).toEqual(['ask too-early:albuterol', 'ask over-24-hours:albuterol'])
  })
  it('says in the source that a gap is only common practice', () => {
    expect(
      finding(order([albuterol], { frequency: { everyMinutes: 180 } }), 'too-early:albuterol')?.sources[0],
    ).toContain('common practice, no source')
  })
  it('uses the maximum of the age', () => {
    const six = order([line('levalbuterol', 0.63, 'mg')], { frequency: { timesPerDay: 4 } })
    expect(codes(six, child(8, 25))).toEqual(['ask over-24-hours:levalbuterol'])
    expect(codes(six)).toEqual([])
  })
})

describe('acute or routine', () => {
  it.each([
    [{}, false],
    [{ priority: 'stat' as const }, true],
    [{ priority: 'asap' as const }, false],
    [{ frequency: { continuous: true } }, true],
    [{ frequency: { stat: true, once: true } }, true],
    [{ frequency: { everyMinutes: 119 } }, true],
    [{ frequency: { everyMinutes: 120 } }, false],
    [{ indication: 'Exacerbation of COPD' }, true],
    [{ indication: 'asthma attack' }, true],
    [{ indication: null }, false],
    [{ indication: 'asthma attack', acute: false }, false],
    [{ acute: true }, true],
  ])('%o is %s', (more, acute) => {
    expect(isAcute(defaultFormulary(), order([albuterol], more))).toBe(acute)
  })
})
