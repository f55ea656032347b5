import { describe, expect, it } from 'vitest'
import { albuterol, codes, finding, line, order } from './review-cases.test-help.ts'

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
