import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { defaultFormulary } from '../formulary/formulary.ts'
import type { PatientFacts } from './patient.ts'
import {
  adult,
  albuterol,
  child,
  codes,
  finding,
  ipratropium,
  line,
  order,
  review,
} from './review-cases.test-help.ts'

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
    expect(formularyVersion).toBe(defaultFormulary().version)
    expect(acute).toBe(false)
    expect(findings.map(({ severity }) => severity)).toEqual(['stop', 'ask'])
    expect(new Set(sources.map(({ key }) => key)).size).toBe(sources.length)
    expect(steps).toHaveLength(2)
  })
  it('gives every finding a source that says how it stands, and each code once', () => {
    const ids = defaultFormulary().medicines.map(({ id }) => id)
    const conditions = defaultFormulary().document.conditions.map(({ code, text }) => ({ code, text }))
    const names = defaultFormulary().document.groups.map(({ members }) => ({ name: members[0] ?? '' }))
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
            line(id, amount, defaultFormulary().medicine(id)?.supply[0]?.unit ?? 'mg'),
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
