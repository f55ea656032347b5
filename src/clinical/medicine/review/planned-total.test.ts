import { describe, expect, it } from 'vitest'
import { defaultFormulary } from '../formulary/formulary.ts'
import type { OrderToReview } from './order.ts'
import { plannedTotals } from './planned-total.ts'
import { adult, albuterol, codes, finding, ipratropium, line, order } from './review-cases.test-help.ts'

const totals = (orders: readonly OrderToReview[], patient = adult) =>
  plannedTotals(defaultFormulary(), orders, patient)
const totalOf = (medicineId: string, orders: readonly OrderToReview[]) =>
  totals(orders).find((total) => total.medicineId === medicineId)
const combination = line('ipratropium-albuterol', 1, 'vial')
const relief = order([albuterol], {
  frequency: null,
  prn: { reason: 'wheeze', minimumGapMinutes: 240 },
})

describe('planned 24 hours of one drug over all orders', () => {
  it('is the sum, with the working and the published maximum', () => {
    expect(totalOf('albuterol', [order([albuterol]), relief])).toMatchObject({
      total: {
        value: 25,
        unit: 'mg',
        steps: [
          'albuterol: 4 times 2.5 mg = 10 mg',
          'albuterol: 6 times 2.5 mg = 15 mg',
          '10 + 15 = 25 mg',
          'published most: 10 mg in 24 h',
        ],
        sources: [expect.objectContaining({ standing: expect.any(String) })],
      },
      most: { value: 10 },
      over: true,
      orders: 2,
      uncounted: [],
    })
  })
  it('is not over at the maximum itself', () => {
    const half = order([albuterol], { frequency: { timesPerDay: 2 } })
    expect(totalOf('albuterol', [half, half])).toMatchObject({ total: { value: 10 }, over: false, orders: 2 })
  })
  it('counts what a combination holds toward each of its drugs', () => {
    const both = [order([combination]), order([ipratropium], { frequency: { timesPerDay: 1 } })]
    expect(totalOf('ipratropium', both)).toMatchObject({ total: { value: 2.5 }, over: true, orders: 2 })
    expect(totalOf('albuterol', both)).toMatchObject({ total: { value: 10 }, over: false, orders: 1 })
    expect(totalOf('ipratropium', both)?.total.steps[0]).toBe(
      'ipratropium-albuterol: 4 times 0.5 mg (1 vial) = 2 mg',
    )
  })
  it('holds a combination that is ordered alone against its own maximum', () => {
    const six = order([combination], { frequency: { timesPerDay: 6 } })
    expect(totalOf('albuterol', [six])).toMatchObject({
      total: { value: 15 },
      most: { value: 15 },
      over: false,
    })
    const one = order([albuterol], { frequency: { once: true } })
    expect(totalOf('albuterol', [six, one])).toMatchObject({
      total: { value: 17.5 },
      most: { value: 10 },
      over: true,
    })
  })
  it('takes the largest dose of a range and every spelling of a unit', () => {
    const range = line('albuterol', 2.5, 'mg', { amountMax: 5 })
    const small = line('albuterol', 2500, 'micrograms')
    expect(totalOf('albuterol', [order([range]), order([small])])?.total.value).toBe(30)
  })
  it.each([
    [
      'continuous',
      order([line('albuterol', 10, 'mg/h')], { frequency: { continuous: true } }),
      /runs continuously/,
    ],
    ['no frequency', order([albuterol], { frequency: null }), /how often is not said/],
    ['a unit that is not known', order([line('albuterol', 2, 'puffs')]), /2 puffs \(unit not known\) cannot/],
    ['no dose', order([line('albuterol', null, 'mg')]), /a dose that is not said cannot/],
    ['no unit', order([line('albuterol', 2, null)]), /2 without a unit cannot/],
    ['mL of differing packs', order([line('albuterol', 3, 'mL')]), /3 mL cannot/],
  ])('says what it leaves out: %s', (_, left, why) => {
    const total = totalOf('albuterol', [order([albuterol]), left])
    expect(total).toMatchObject({ total: { value: 10 }, orders: 1 })
    expect(total?.uncounted).toEqual([expect.stringMatching(why)])
  })
  it('passes over diluents and what the formulary does not know', () => {
    const unknown = order([line('snow', 1, 'mg'), line(null, 1, 'mg')])
    const diluent = order([line('sodium-chloride-0.9', 3, 'mL', { part: 'diluent' })])
    expect(totals([unknown, diluent])).toEqual([])
  })
  it('has no maximum where none is published, and none that is for another age', () => {
    const saline = order([line('sodium-chloride-3', 4, 'mL')])
    expect(totals([saline])[0]).toMatchObject({ most: null, over: false })
    const budesonide = order([line('budesonide', 0.5, 'mg')], { frequency: { timesPerDay: 2 } })
    const at = (years: number) => totals([budesonide], { ...adult, ageDays: years * 365.25 })[0]?.most?.value
    expect([at(5), at(12), at(40)]).toEqual([1, undefined, 4])
  })
})

describe('the review of an order beside others', () => {
  const planned = 'ask planned-over-24-hours:albuterol'
  const beside = (asked: OrderToReview, others: OrderToReview[]) =>
    codes(asked, { ...adult, orders: others }).filter((code) => code.includes('planned'))
  it('asks about a total that only the orders together reach', () => {
    const twice = order([albuterol], { frequency: { timesPerDay: 3 } })
    expect(beside(twice, [twice])).toEqual([planned])
    expect(beside(twice, [])).toEqual([])
    expect(finding(twice, 'planned-over-24-hours:albuterol', { ...adult, orders: [twice] })).toMatchObject({
      what: 'albuterol: all orders together come to 15 mg in 24 h; the published most is 10 mg: confirm',
      why: expect.stringContaining('7.5 + 7.5 = 15 mg'),
    })
  })
  it('leaves one order by itself to the check of that order', () => {
    expect(beside(order([albuterol], { frequency: { timesPerDay: 8 } }), [])).toEqual([])
  })
  it('does not ask again about drugs that this order does not hold', () => {
    expect(
      beside(order([ipratropium], { frequency: { timesPerDay: 2 } }), [order([albuterol]), relief]),
    ).toEqual([])
  })
  it('shows an acute order and does not ask', () => {
    expect(beside(order([albuterol], { acute: true }), [order([albuterol])])).toEqual([
      'note planned-over-24-hours:albuterol',
    ])
  })
})
