import { describe, expect, it } from 'vitest'
import { line, order, packIdOf, product } from '../../../test/support/ward.ts'
import { defaultFormulary } from '../../clinical/medicine/index.ts'
import { MEDICINE_CODES } from '../documents/medicine-codes.ts'
import type { OrderedMedicine } from '../facts/orders.ts'
import { coarseFindings, drawnUp } from './draw-up.ts'
import { type CupPlan, planCup } from './plan-cup.ts'
import type { Product } from './products.ts'

const plan = (
  medicines: OrderedMedicine[],
  products: readonly (string | Product)[],
  more: Parameters<typeof order>[1] = {},
) =>
  planCup(
    defaultFormulary(),
    order(medicines, more),
    products.map((each) => (typeof each === 'string' ? product(each) : each)),
  )
function made(...asked: Parameters<typeof plan>): CupPlan {
  const cup = plan(...asked)
  if ('refused' in cup) throw new Error(cup.refused)
  return cup
}
const codes = (...asked: Parameters<typeof plan>) =>
  made(...asked).findings.map(({ code, severity }) => `${severity} ${code}`)
const refusal = (...asked: Parameters<typeof plan>) => {
  const cup = plan(...asked)
  return 'refused' in cup ? cup.refused : null
}
const albuterol = line('albuterol', 2.5, 'mg')
const BOTTLE = 'albuterol-4'
const UNIT_DOSE = 'albuterol-1'

describe('the pack in the hand', () => {
  it('is one of the formulary’s for every product of the cabinet', () => {
    const without = MEDICINE_CODES.defaults.products.filter(({ productId }) => packIdOf(productId) === null)
    expect(without.map(({ text }) => text)).toEqual([])
  })
  it('is told by strength and container, by what is in it, or by the container of a combination', () => {
    expect(packIdOf(BOTTLE)).toBe('0.5-bottle')
    expect(packIdOf('albuterol-5')).toBe('0.5-unit')
    expect(packIdOf('colistimethate-1')).toBe('1-MIU')
    expect(packIdOf('ipratropium-albuterol-1')).toBe('3')
  })
  it('that is like none is asked about, and the volume is still that of its strength', () => {
    const stranger: Product = { ...product(UNIT_DOSE), text: 'albuterol, another maker', strength: '4 mg/mL' }
    const cup = made([albuterol], [stranger])
    expect(cup.portions[0]?.volumeMl).toBe(0.625)
    expect(cup.findings.map(({ code }) => code)).toEqual(['pack-unknown:albuterol'])
  })
})

describe('what speaks against the cup as it is prepared', () => {
  it('nothing, for a unit dose', () => {
    expect(codes([albuterol], [UNIT_DOSE])).toEqual([])
  })
  it('a preserved bottle beside a drug that it spoils is a stop', () => {
    const both = [line('albuterol', 2.5, 'mg'), line('cromolyn', 20, 'mg')]
    expect(codes(both, [BOTTLE, 'cromolyn-1'])).toContain('stop preservative-clash:cromolyn')
    expect(codes(both, [UNIT_DOSE, 'cromolyn-1'])).not.toContain('stop preservative-clash:cromolyn')
  })
  it('a preserved bottle for frequent doses is a caution', () => {
    const every = (everyMinutes: number) => ({
      frequency: { code: 'X', everyMinutes, standardTimes: false },
    })
    expect(codes([albuterol], [BOTTLE], every(120))).toEqual(['caution preservative-repeated'])
    expect(codes([albuterol], [BOTTLE], every(121))).toEqual([])
    const running = { frequency: { code: 'CONT', continuous: true, standardTimes: false } }
    expect(codes([albuterol], [BOTTLE], running)).toEqual(['caution preservative-repeated'])
  })
  it('a concentrate that nothing dilutes is a stop', () => {
    const large = line('albuterol', 15, 'mg')
    expect(codes([large], [BOTTLE])).toContain('stop concentrate-undiluted')
    expect(codes([albuterol], [BOTTLE])).toEqual([])
    expect(
      codes([line('albuterol', 10, 'mg'), line('levalbuterol', 5, 'mg')], [BOTTLE, 'levalbuterol-3']),
    ).toContain('stop concentrate-undiluted')
  })
  it('a label that wants the drug alone is a stop', () => {
    expect(codes([albuterol, line('dornase', 2.5, 'mg')], [UNIT_DOSE, 'dornase-1'])).toContain(
      'stop given-alone:dornase',
    )
  })
})

describe('the order of adding', () => {
  it('begins with what a syringe measures and ends with the diluent', () => {
    const cup = made([line('ipratropium', 0.5, 'mg'), albuterol], ['ipratropium-1', BOTTLE])
    expect(cup.order).toEqual([
      'albuterol 0.5 mL (measured with a syringe first: the smallest volume goes in where it can be seen)',
      'ipratropium 2.5 mL (the unit opened and poured)',
    ])
  })
  it('has a part of a unit dose measured, not poured', () => {
    const cup = made([line('albuterol', 1.25, 'mg')], [UNIT_DOSE])
    expect(cup.order[0]).toMatch(/^albuterol 1\.5 mL \(measured/)
  })
})

describe('the syringe', () => {
  const drawn = (medicines: OrderedMedicine[], products: string[], chosen = {}) => {
    const rows = drawnUp(made(medicines, products).volumes, chosen)
    return rows.map(({ text, syringe, measured, doseError }) => [
      text,
      syringe.name,
      measured.value,
      Number(doseError.value.toFixed(2)),
    ])
  }

  it('is asked about for what is measured, the finest that holds it first; not for what is poured whole', () => {
    expect(drawn([line('ipratropium', 0.5, 'mg'), albuterol], ['ipratropium-1', BOTTLE])).toEqual([
      ['albuterol', '1 mL', 0.5, 0],
    ])
    expect(drawn([albuterol], [UNIT_DOSE])).toEqual([])
    expect(drawn([line('albuterol', 1.25, 'mg')], [UNIT_DOSE])).toEqual([['albuterol', '3 mL', 1.5, 0]])
  })

  it('that is too coarse for the dose must be answered, and a finer one takes the question away', () => {
    const odd = [line('albuterol', 1.7, 'mg')]
    expect(drawn(odd, [BOTTLE], { albuterol: '3 mL' })).toEqual([['albuterol', '3 mL', 0.3, -11.76]])
    const rows = drawnUp(made(odd, [BOTTLE]).volumes, { albuterol: '3 mL' })
    expect(coarseFindings(rows)).toEqual([
      expect.objectContaining({
        code: 'syringe-coarse:albuterol:3 mL',
        severity: 'ask',
        what: 'albuterol: with the 3 mL syringe 0.3 mL are drawn, a dose -11.8 % off.',
        why: expect.stringContaining('÷ 0.34 mL'),
        sources: [expect.stringMatching(/from memory/), expect.stringMatching(/no source/)],
      }),
    ])
    expect(coarseFindings(drawnUp(made(odd, [BOTTLE]).volumes, {}))).toEqual([])
  })

  it('that does not hold the volume is not taken, whatever was chosen before', () => {
    expect(drawn([line('albuterol', 1.25, 'mg')], [UNIT_DOSE], { albuterol: '1 mL' })[0]?.[1]).toBe('3 mL')
  })
})

describe('the dose', () => {
  it.each([
    ['500', 'mcg', 'ipratropium', 'ipratropium-1', 2.5],
    ['500', 'microgram', 'ipratropium', 'ipratropium-1', 2.5],
    ['500', 'µg', 'ipratropium', 'ipratropium-1', 2.5],
    ['0.0025', 'g', 'albuterol', UNIT_DOSE, 3],
    ['1', 'vial', 'ipratropium-albuterol', 'ipratropium-albuterol-1', 3],
    ['2.5', 'ML', 'albuterol', UNIT_DOSE, 2.5],
    ['300', 'mg', 'pentamidine', 'pentamidine-1', 6],
  ])('%s %s of %s from %s', (amount, unit, medicineId, productId, volumeMl) => {
    const { portions } = made([line(medicineId, Number(amount), unit)], [productId])
    expect(portions[0]?.volumeMl).toBe(volumeMl)
  })
  it.each([
    [
      'a combination in mg, of which two are in it',
      line('ipratropium-albuterol', 2.5, 'mg'),
      'ipratropium-albuterol-1',
      /2.5 mg; allowed/,
    ],
    ['puffs', line('albuterol', 2, 'puffs'), UNIT_DOSE, /^unit of albuterol is puffs/],
    ['breaths', line('treprostinil', 3, 'breaths'), 'treprostinil-1', /^unit of treprostinil/],
    ['units of activity from a pack in mg', line('albuterol', 2, 'IU'), UNIT_DOSE, /an amount in mg/],
    [
      'a powder without a volume',
      line('colistimethate', 1, 'million IU'),
      'colistimethate-1',
      /make it up first/,
    ],
    ['no dose', line('albuterol', null, 'mg'), UNIT_DOSE, /^dose of albuterol is not stated/],
    ['another medicine in the hand', albuterol, 'budesonide-1', /^albuterol is not in the hand/],
  ])('refuses %s', (_, asked, productId, message) => {
    expect(refusal([asked], [productId])).toMatch(message)
  })
  it('of a range is the smallest until somebody chooses, and that is asked', () => {
    const range = line('albuterol', 2.5, 'mg', { amountMax: 5 })
    const cup = made([range], [UNIT_DOSE])
    expect(cup.portions[0]).toMatchObject({ amount: 2.5, volumeMl: 3 })
    expect(cup.findings.map(({ code }) => code)).toEqual(['dose-range:albuterol'])
    const chosen = planCup(defaultFormulary(), order([range]), [product(UNIT_DOSE)], { albuterol: 5 })
    expect(chosen).toMatchObject({ portions: [{ amount: 5, volumeMl: 6 }], findings: [] })
  })
})

describe('the diluent', () => {
  const saline = (amount: number | null, unit: string | null) =>
    line('sodium-chloride-0.9', amount, unit, { part: 'diluent' })
  it('fills up to what the order names, and says how that was read', () => {
    const cup = made([albuterol, saline(4, 'mL')], [BOTTLE])
    expect(cup.portions.map(({ volumeMl }) => volumeMl)).toEqual([0.5, 3.5])
    expect(cup.findings.map(({ code, severity }) => `${severity} ${code}`)).toEqual(['note diluent-to-fill'])
  })
  it('is asked about when its volume cannot be read', () => {
    expect(codes([albuterol, saline(4, 'cups')], [BOTTLE])).toEqual(['ask diluent-volume-unread'])
    expect(codes([albuterol, saline(null, 'mL')], [BOTTLE])).toEqual(['ask diluent-volume-unread'])
  })
  it('adds up: the portions are the total', () => {
    const cup = made([albuterol], [BOTTLE])
    expect(cup.totalMl.value).toBe(3)
    expect(cup.totalMl.steps.at(-1)).toBe('0.5 mL + 2.5 mL = 3 mL in the cup')
  })
})
