import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { OutsideValidity } from '../../worked.ts'
import { FORMULARY } from '../formulary/formulary.ts'
import type { OrderLine, OrderToReview } from './order.ts'
import { isAcute, reviewOrder } from './order-review.ts'
import type { PatientFacts } from './patient.ts'

const YEAR = 365.25
const line = (
  medicineId: string | null,
  amountMin: number | null,
  unit: string | null,
  more: Partial<OrderLine> = {},
): OrderLine => ({
  medicineId,
  text: medicineId ?? 'an unread name',
  amountMin,
  amountMax: null,
  unit,
  part: 'medicine',
  ...more,
})
const order = (medicines: OrderLine[], more: Partial<OrderToReview> = {}): OrderToReview => ({
  medicines,
  route: 'INH',
  frequency: { timesPerDay: 4 },
  prn: null,
  indication: 'COPD',
  prescriber: { id: '7', name: 'A. Prescriber' },
  ...more,
})
const adult: PatientFacts = { ageDays: 65 * YEAR, weightKg: 80, conditions: [], allergies: [], taking: [] }
const child = (years: number, weightKg: number | null): PatientFacts => ({
  ...adult,
  ageDays: years * YEAR,
  weightKg,
})

const review = (asked: OrderToReview, patient: PatientFacts = adult) => reviewOrder(FORMULARY, asked, patient)
const codes = (asked: OrderToReview, patient: PatientFacts = adult) =>
  review(asked, patient).findings.map(({ code, severity }) => `${severity} ${code}`)
const finding = (asked: OrderToReview, code: string, patient: PatientFacts = adult) =>
  review(asked, patient).findings.find((each) => each.code === code)

const albuterol = line('albuterol', 2.5, 'mg')
const ipratropium = line('ipratropium', 500, 'mcg')

describe('an order with nothing to ask', () => {
  it.each([
    ['albuterol QID', order([albuterol]), adult],
    ['albuterol with ipratropium', order([albuterol, ipratropium]), adult],
    [
      'albuterol with saline as diluent',
      order([albuterol, line('sodium-chloride-0.9', 3, 'mL', { part: 'diluent' })]),
      adult,
    ],
    ['the combination in mL', order([line('ipratropium-albuterol', 3, 'mL')]), adult],
    [
      'a child by weight',
      order([albuterol], { frequency: { timesPerDay: 4 }, indication: 'asthma attack' }),
      child(4, 16),
    ],
    [
      '15 mcg written as mcg',
      order([line('arformoterol', 15, 'mcg')], { frequency: { timesPerDay: 2 } }),
      adult,
    ],
    [
      'continuous albuterol',
      order([line('albuterol', 10, 'mg/h')], {
        frequency: { continuous: true },
        indication: 'asthma attack',
      }),
      adult,
    ],
  ])('%s', (_, asked, patient) => {
    expect(codes(asked, patient)).toEqual([])
  })
})

describe('completeness: nothing is assumed', () => {
  it('names everything that is missing, the gravest first', () => {
    const empty = order([line(null, null, null)], {
      route: ' ',
      frequency: null,
      prn: { reason: '', minimumGapMinutes: null },
      indication: null,
      prescriber: null,
    })
    expect(codes(empty)).toEqual([
      'stop unknown-medicine-1',
      'stop missing-medicine-1-dose',
      'stop missing-medicine-1-unit',
      'stop missing-frequency',
      'stop missing-prescriber',
      'ask missing-route',
      'ask missing-indication',
      'ask missing-prn-reason',
      'ask missing-prn-gap',
    ])
  })
  it('asks for a medicine where there is none', () => {
    expect(codes(order([]))).toEqual(['stop missing-medicine'])
    expect(codes(order([line('sodium-chloride-0.9', 3, 'mL', { part: 'diluent' })]))).toEqual([
      'stop missing-medicine',
    ])
  })
  it('does not know a medicine by an id that is not in the formulary', () => {
    const found = finding(order([line('snow', 2, 'mg')]), 'unknown-medicine-1')
    expect(found).toMatchObject({
      severity: 'stop',
      whoMustAnswer: 'pharmacist',
      what: 'find out what is meant by snow',
    })
  })
  it('takes a dose given by its upper end alone', () => {
    expect(codes(order([line('albuterol', null, 'mg', { amountMax: 2.5 })]))).toEqual([])
  })
  it.each([
    'INH',
    'NEB',
    'IH',
    'inhalation',
    'Nebulizer',
    'respiratory tract',
    'tracheostomy',
    'aerosol mask',
  ])('%s is an inhaled route', (route) => {
    expect(codes(order([albuterol], { route }))).toEqual([])
  })
  it.each(['IV', 'PO', 'inj'])('%s is asked about', (route) => {
    expect(codes(order([albuterol], { route }))).toEqual(['ask route-not-inhaled'])
  })
})

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
    expect(isAcute(FORMULARY, order([albuterol], more))).toBe(acute)
  })
})

describe('allergies', () => {
  const allergic = (...texts: string[]) => ({
    ...adult,
    allergies: texts.map((text) => ({ code: '', text })),
  })
  it('stop the order, across the names of a family', () => {
    expect(codes(order([albuterol]), allergic('Salbutamol: rash'))).toEqual(['stop allergy:albuterol'])
    expect(codes(order([ipratropium]), allergic('ATROPINE'))).toEqual(['stop allergy:ipratropium'])
    expect(
      codes(
        order([line('tobramycin', 300, 'mg')], { frequency: { timesPerDay: 2 } }),
        allergic('Gentamicin'),
      ),
    ).toEqual(['stop allergy:tobramycin'])
    expect(finding(order([albuterol]), 'allergy:albuterol', allergic('Salbutamol: rash'))).toMatchObject({
      why: 'the chart has an allergy: Salbutamol: rash',
      whoMustAnswer: 'prescriber',
    })
  })
  it('are read from the code too', () => {
    expect(
      codes(order([albuterol]), { ...adult, allergies: [{ code: 'albuterol', text: 'see chart' }] }),
    ).toEqual(['stop allergy:albuterol'])
  })
  it('that match nothing are shown once, and none known says nothing', () => {
    expect(codes(order([albuterol, ipratropium]), allergic('Latex', 'Peanut'))).toEqual([
      'note allergies-shown',
    ])
    expect(finding(order([albuterol]), 'allergies-shown', allergic('Latex', 'Peanut'))?.what).toContain(
      'Latex; Peanut',
    )
    expect(codes(order([albuterol]), allergic('No known allergies', 'NKDA', 'none'))).toEqual([])
  })
  it('unknown: ask', () => {
    expect(codes(order([albuterol]), { ...adult, allergies: null })).toEqual(['ask allergies-unknown'])
  })
})

describe('duplicates', () => {
  const taking = (...names: string[]): PatientFacts => ({ ...adult, taking: names.map((name) => ({ name })) })
  it('two of one kind within an order', () => {
    expect(
      codes(order([albuterol, line('levalbuterol', 0.63, 'mg')], { frequency: { timesPerDay: 3 } })),
    ).toEqual(['ask same-class-twice:albuterol:levalbuterol', 'ask mixing:albuterol:levalbuterol'])
  })
  it('against what is taken besides, by the formulary and by name', () => {
    expect(codes(order([ipratropium]), taking('tiotropium 18 mcg'))).toContain(
      'ask same-class-twice:ipratropium bromide:tiotropium 18 mcg',
    )
    expect(
      codes(
        order([line('arformoterol', 15, 'mcg')], { frequency: { timesPerDay: 2 } }),
        taking('formoterol'),
      ),
    ).toContain('ask same-class-twice:arformoterol tartrate:formoterol')
    expect(
      codes(order([line('epinephrine', 5, 'mg')], { frequency: { once: true } }), {
        ...child(2, 12),
        taking: [{ medicineId: 'racemic-epinephrine', name: 'racemic epinephrine' }],
      }),
    ).toContain('ask same-class-twice:L-epinephrine:racemic epinephrine')
  })
  it('the same medicine twice asks; as needed beside regular is shown', () => {
    expect(codes(order([albuterol]), taking('albuterol'))).toEqual(['ask same-medicine:albuterol:albuterol'])
    const relief: PatientFacts = { ...adult, taking: [{ name: 'albuterol', asNeeded: true }] }
    expect(codes(order([albuterol]), relief)).toEqual(['caution same-medicine:albuterol:albuterol'])
    const prn = { prn: { reason: 'wheeze', minimumGapMinutes: 360 } }
    expect(codes(order([albuterol], prn), relief)).toEqual(['ask same-medicine:albuterol:albuterol'])
    expect(codes(order([albuterol], prn), taking('salbutamol'))).toEqual([
      'caution same-medicine:albuterol:salbutamol',
    ])
  })
  it('sees into a combination', () => {
    expect(codes(order([albuterol]), taking('ipratropium-albuterol'))).toEqual([
      'ask same-medicine:albuterol:ipratropium-albuterol',
    ])
  })
  it('says nothing about strangers', () => {
    expect(codes(order([albuterol]), taking('paracetamol'))).toEqual([])
  })
})

describe('conditions, interactions and rules', () => {
  const having = (...list: string[]): PatientFacts => ({
    ...adult,
    conditions: list.map((code) => ({ code, text: code })),
  })
  const taking = (...names: string[]): PatientFacts => ({ ...adult, taking: names.map((name) => ({ name })) })

  it('by the formulary’s own code or by ICD-10', () => {
    expect(codes(order([ipratropium]), having('narrow-angle-glaucoma'))).toEqual([
      'caution eyes-and-mist:ipratropium',
    ])
    expect(codes(order([ipratropium]), having('h40.20'))).toEqual(['caution eyes-and-mist:ipratropium'])
    expect(codes(order([ipratropium]), having('H40.1'))).toEqual([])
  })
  it('a long-acting beta-2 agonist in asthma without an inhaled steroid stops', () => {
    const asked = order([line('formoterol', 20, 'mcg')], { frequency: { timesPerDay: 2 } })
    expect(codes(asked, having('asthma'))).toEqual(['stop beta-agonist-alone-in-asthma:formoterol'])
    expect(codes(asked, { ...having('asthma'), taking: [{ name: 'fluticasone inhaler' }] })).toEqual([])
    expect(codes(asked, { ...having('asthma'), taking: null })).toEqual(['ask medicines-unknown'])
    expect(codes(asked, having('copd'))).toEqual([])
  })
  it('a maintenance drug for an acute attack', () => {
    const asked = order([line('revefenacin', 175, 'mcg')], {
      frequency: { timesPerDay: 1 },
      indication: 'acute asthma',
    })
    expect(codes(asked)).toEqual(['caution not-for-rescue:revefenacin'])
  })
  it('contraindications stop when they stand firm and ask when they are remembered', () => {
    const iso = (id: string, mg: number, unit: string, condition: string) =>
      codes(order([line(id, mg, unit)], { frequency: { once: true } }), having(condition)).filter((code) =>
        /contraindication/.test(code),
      )
    expect(iso('sodium-chloride-7', 4, 'mL', 'current-bronchospasm')).toEqual([
      'stop contraindication:sodium-chloride-7:1',
    ])
    expect(iso('magnesium-sulfate', 500, 'mg', 'heart-block')).toEqual([
      'ask contraindication:magnesium-sulfate:2',
    ])
    expect(iso('revefenacin', 175, 'mcg', 'acute-deterioration')).toEqual([
      'stop contraindication:revefenacin:2',
    ])
  })
  it('says in the source when an interaction is from memory', () => {
    const found = finding(
      order([albuterol]),
      'interaction:beta-agonist-and-beta-blocker',
      taking('Metoprolol 25 mg'),
    )
    expect(found).toMatchObject({
      severity: 'caution',
      sources: ['Known to the authors and not looked up (from memory)'],
    })
  })
  it('hypertonic saline: confirm, and ask for a bronchodilator that is not there', () => {
    const asked = order([line('sodium-chloride-7', 4, 'mL')], { frequency: { timesPerDay: 2 } })
    expect(codes(asked)).toEqual([
      'ask hypertonic-first-dose:sodium-chloride-7',
      'ask bronchodilator-missing:sodium-chloride-7',
    ])
    expect(codes(asked, taking('albuterol'))).toEqual(['ask hypertonic-first-dose:sodium-chloride-7'])
  })
  it('a bronchodilator first only where the condition calls for it', () => {
    const asked = order([line('acetylcysteine', 800, 'mg')])
    expect(codes(asked, having('asthma', 'cystic-fibrosis'))).toEqual([
      'ask bronchodilator-missing:acetylcysteine',
      'caution mucolytic-may-narrow:acetylcysteine',
    ])
    expect(codes(asked, having('cystic-fibrosis'))).toEqual([])
    expect(codes(asked, having('bronchiectasis'))).toEqual(['caution caution:acetylcysteine:2'])
  })
  it('unknown conditions are asked about by name, once', () => {
    const found = review(order([albuterol, ipratropium]), { ...adult, conditions: null }).findings
    expect(found.map(({ code }) => code)).toEqual(['conditions-unknown'])
    expect(found[0]?.what).toContain('narrow-angle glaucoma')
    expect(found[0]?.what).toContain('coronary disease')
  })
  it('precautions against airborne or droplet spread', () => {
    const codesWith = (...isolation: string[]) => codes(order([albuterol]), { ...adult, isolation })
    expect(codesWith('AIR')).toEqual(['caution isolation'])
    expect(codesWith('droplet precautions')).toEqual(['caution isolation'])
    expect(codesWith('CON')).toEqual([])
  })
  it('pentamidine: room and filter to confirm, and they are in the equipment', () => {
    const asked = order([line('pentamidine', 300, 'mg')], { frequency: { once: true } })
    expect(codes(asked)).toEqual(['ask room-and-filter:pentamidine'])
    const { requirements, nebulizers } = review(asked).equipment
    expect(nebulizers).toEqual(['jet'])
    expect(requirements.filter(({ need }) => need === 'required').map(({ code }) => code)).toEqual([
      'listed-device:pentamidine',
      'filter:pentamidine',
      'own-room:pentamidine',
      'bronchodilator-first:pentamidine',
    ])
  })
})

describe('what shares a cup', () => {
  it('is refused by a label and asked by absence', () => {
    expect(
      codes(order([albuterol, line('dornase', 2.5, 'mg')], { frequency: { timesPerDay: 1 } })),
    ).toContain('stop mixing:albuterol:dornase')
    const withDiluent = order(
      [line('dornase', 2.5, 'mg'), line('sodium-chloride-0.9', 2, 'mL', { part: 'diluent' })],
      { frequency: { timesPerDay: 1 } },
    )
    expect(codes(withDiluent)).toEqual(['stop mixing:dornase:sodium-chloride-0.9'])
  })
})

describe('the review itself', () => {
  it('names the edition, every source once, and the gravest finding first', () => {
    const { findings, formularyVersion, sources, steps, acute } = review(
      order([line('albuterol', 25, 'mg')], { frequency: { timesPerDay: 6 } }),
    )
    expect(formularyVersion).toBe(FORMULARY.version)
    expect(acute).toBe(false)
    expect(findings.map(({ severity }) => severity)).toEqual(['stop', 'ask'])
    expect(new Set(sources.map(({ key }) => key)).size).toBe(sources.length)
    expect(steps).toHaveLength(2)
  })
  it('gives every finding a source that says how it stands, and each code once', () => {
    const ids = FORMULARY.medicines.map(({ id }) => id)
    const conditions = FORMULARY.document.conditions.map(({ code, text }) => ({ code, text }))
    const names = FORMULARY.document.groups.map(({ members }) => ({ name: members[0] ?? '' }))
    fc.assert(
      fc.property(
        fc.subarray(ids, { minLength: 1, maxLength: 3 }),
        fc.subarray(conditions),
        fc.subarray(names),
        fc.integer({ min: 0, max: 36_000 }),
        fc.integer({ min: 1, max: 150 }),
        fc.double({ min: 0.1, max: 1000, noNaN: true }),
        (medicines, having, taking, ageDays, weightKg, amount) => {
          const lines = medicines.map((id) =>
            line(id, amount, FORMULARY.medicine(id)?.supply[0]?.unit ?? 'mg'),
          )
          const patient = { ageDays, weightKg, conditions: having, taking, allergies: [] }
          const { findings } = review(order(lines), patient)
          for (const each of findings) {
            expect(each.sources.length).toBeGreaterThan(0)
            for (const source of each.sources)
              expect(source).toMatch(
                /\((verified|verified-secondary|computed|from memory|common practice, no source|design rule)\)$/,
              )
            expect(`${each.what} ${each.why}`).not.toMatch(/NaN|undefined|Infinity/)
          }
          expect(new Set(findings.map(({ code }) => code)).size).toBe(findings.length)
        },
      ),
    )
  })
})
