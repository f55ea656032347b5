import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { BadInput } from '../../worked.ts'
import { defaultFormulary } from '../formulary/formulary.ts'
import { checkHistory, type GivenDose, type ProposedDose } from './dose-history.ts'

const NOON = '2026-03-08T12:00:00.000Z'
const at = (hoursFromNoon: number) => new Date(Date.parse(NOON) + hoursFromNoon * 3_600_000).toISOString()
const proposed = (more: Partial<ProposedDose> = {}): ProposedDose => ({
  medicineId: 'albuterol',
  amount: { value: 2.5, unit: 'mg' },
  at: NOON,
  acute: false,
  ageDays: 20_000,
  weightKg: 70,
  ...more,
})
const given = (hours: number, mg: number, more: Partial<GivenDose> = {}): GivenDose => ({
  medicineId: 'albuterol',
  amount: { value: mg, unit: 'mg' },
  route: 'nebulized',
  at: at(hours),
  ...more,
})
const check = (history: GivenDose[], more: Partial<ProposedDose> = {}) =>
  checkHistory(defaultFormulary(), proposed(more), history)
const total = (history: GivenDose[], more: Partial<ProposedDose> = {}) => check(history, more).totals[0]

describe('the gap', () => {
  it('is nothing without a dose before', () => {
    expect(check([]).gap).toEqual({
      minutesToNearest: null,
      shortestMinutes: 240,
      tooEarly: false,
      earliest: null,
    })
  })
  it('is too early before the shortest gap, and not at it', () => {
    expect(check([given(-4, 2.5)]).gap).toEqual({
      minutesToNearest: 240,
      shortestMinutes: 240,
      tooEarly: false,
      earliest: NOON,
    })
    expect(check([given(-3.9, 2.5)]).gap).toMatchObject({ tooEarly: true, earliest: at(0.1) })
  })
  it('is shorter for an acute order', () => {
    expect(check([given(-0.5, 2.5)], { acute: true }).gap).toMatchObject({
      shortestMinutes: 20,
      tooEarly: false,
    })
    expect(check([given(-0.3, 2.5)], { acute: true }).gap).toMatchObject({ tooEarly: true })
  })
  it('looks both ways, for a dose that is written down late', () => {
    expect(check([given(2, 2.5)]).gap).toMatchObject({
      minutesToNearest: 120,
      tooEarly: true,
      earliest: null,
    })
    expect(check([given(-8, 2.5), given(2, 2.5)]).gap).toMatchObject({
      minutesToNearest: 120,
      earliest: at(-4),
    })
  })
  it('counts a combination as its parts, and a stranger not at all', () => {
    const combined = given(-1, 1, { medicineId: 'ipratropium-albuterol', amount: { value: 1, unit: 'vial' } })
    expect(check([combined]).gap.minutesToNearest).toBe(60)
    expect(
      check([given(-1, 0.5, { medicineId: 'budesonide' }), given(-1, 1, { medicineId: 'snow' })]).gap
        .minutesToNearest,
    ).toBeNull()
  })
  it('is not known for a drug without one', () => {
    const saline = { medicineId: 'sodium-chloride-0.9', amount: { value: 3, unit: 'mL' as const } }
    expect(check([{ ...given(-1, 1), ...saline }], saline).gap).toEqual({
      minutesToNearest: 60,
      shortestMinutes: null,
      tooEarly: false,
      earliest: null,
    })
  })
})

describe('the total of 24 hours', () => {
  it('counts the proposed dose, and is over only above the maximum', () => {
    expect(total([given(-4, 2.5), given(-8, 2.5), given(-12, 2.5)])).toMatchObject({
      total: {
        value: 10,
        unit: 'mg',
        steps: ['2.5 + 2.5 + 2.5 + 2.5 = 10 mg in 24 h', 'published most: 10 mg in 24 h'],
      },
      most: { value: 10 },
      over: false,
    })
    expect(total([given(-4, 2.5), given(-8, 5.01)])).toMatchObject({ total: { value: 10.01 }, over: true })
  })
  it('leaves out a dose exactly 24 h before', () => {
    expect(total([given(-24, 5)])?.total.value).toBe(2.5)
    expect(total([given(-23.99, 5)])?.total.value).toBe(7.5)
  })
  it('finds the fullest day around a dose that is written down late', () => {
    expect(total([given(-20, 5), given(10, 5)])?.total.value).toBe(7.5) // 30 h apart: never in one day
    expect(total([given(-10, 5), given(10, 5)])?.total.value).toBe(12.5)
    expect(total([given(23.9, 5)])?.total.value).toBe(7.5)
    expect(total([given(24, 5)])?.total.value).toBe(2.5)
  })
  it('takes micrograms and milligrams together, by every route that was recorded', () => {
    const inhaler = given(-2, 1, { amount: { value: 180, unit: 'mcg' }, route: 'inhaler' })
    expect(total([given(-4, 2.5), inhaler])).toMatchObject({
      total: { value: 5.18 },
      byRoute: { proposed: 2.5, nebulized: 2.5, inhaler: 0.18 },
    })
  })
  it('counts each part of a combination toward its own drug', () => {
    const vial = (hours: number) =>
      given(hours, 1, { medicineId: 'ipratropium-albuterol', amount: { value: 3, unit: 'mL' } })
    const six = check([-4, -8, -12, -16, -20].map(vial), {
      medicineId: 'ipratropium-albuterol',
      amount: { value: 1, unit: 'vial' },
    })
    expect(six.totals.map(({ medicineId, total, over }) => [medicineId, total.value, over])).toEqual([
      ['ipratropium', 3, false],
      ['albuterol', 15, false],
    ])
    expect(six.totals.map(({ most }) => most?.value)).toEqual([3, 15])
    const seventh = check([-2, -4, -8, -12, -16, -20].map(vial), {
      medicineId: 'ipratropium-albuterol',
      amount: { value: 1, unit: 'vial' },
    })
    expect(seventh.totals.map(({ over }) => over)).toEqual([true, true])
    expect(total([vial(-4), vial(-8), vial(-12), vial(-16)])).toMatchObject({
      total: { value: 12.5 },
      over: true,
    })
  })
  it('never drops what it cannot count: it says so', () => {
    const spoken = total([given(-1, 1, { amount: { value: 3, unit: 'mL' } })])
    expect(spoken?.total.value).toBe(2.5)
    expect(spoken?.uncounted).toEqual([`3 mL at ${at(-1)} cannot be counted in mg`])
    const units = { medicineId: 'colistimethate', amount: { value: 1, unit: 'million IU' as const } }
    const mixed = total(
      [
        given(-9, 75, {
          medicineId: 'colistimethate',
          amount: { value: 75, unit: 'mg colistin base activity' },
        }),
      ],
      units,
    )
    expect(mixed).toMatchObject({
      total: { value: 1, unit: '10*6.[iU]' },
      uncounted: [expect.stringContaining('75 mg colistin base activity')],
    })
  })
  it('counts milliliters where the strength is told', () => {
    expect(
      total([given(-1, 1, { amount: { value: 3, unit: 'mL' }, strength: '2.5 mg/3 mL' })])?.total.value,
    ).toBe(5)
  })
  it('uses the maximum of the age, and none where none is published', () => {
    const lev = { medicineId: 'levalbuterol', amount: { value: 0.63, unit: 'mg' as const } }
    expect(total([], { ...lev, ageDays: 3000 })?.most?.value).toBe(1.89)
    expect(total([], lev)?.most?.value).toBe(3.75)
    expect(total([], { ...lev, ageDays: null })?.most).toBeNull()
    expect(total([], { medicineId: 'lidocaine', amount: { value: 160, unit: 'mg' } })).toMatchObject({
      most: null,
      over: false,
    })
  })
  it('names the source of the maximum', () => {
    expect(total([])?.total.sources.map(({ key, standing }) => [key, standing])).toEqual([
      ['ALB_IFU', 'computed'],
    ])
  })
  it('does not mind the order in which doses are told', () => {
    const doses = [given(-4, 2.5), given(-9, 5), given(3, 1), given(-23, 0.63)]
    const wanted = check(doses)
    fc.assert(
      fc.property(fc.shuffledSubarray(doses, { minLength: doses.length }), (shuffled) => {
        const got = check(shuffled)
        expect(got.gap).toEqual(wanted.gap)
        expect(got.totals[0]?.total.value).toBe(wanted.totals[0]?.total.value)
      }),
    )
  })
  it('more history is never less drug', () => {
    const dose = fc
      .tuple(fc.integer({ min: -30, max: 30 }), fc.integer({ min: 1, max: 50 }))
      .map(([h, tenths]) => given(h, tenths / 10))
    fc.assert(
      fc.property(fc.array(dose, { maxLength: 8 }), dose, (history, more) => {
        const [less, all] = [total(history)?.total.value ?? 0, total([...history, more])?.total.value ?? 0]
        expect(all).toBeGreaterThanOrEqual(less)
      }),
    )
  })
})

describe('input that cannot be used', () => {
  it.each([
    [{ medicineId: 'snow' }, [], /^medicineId is snow/],
    [{ at: 'noon' }, [], /^at is noon; allowed: an instant in ISO 8601/],
    [{ amount: { value: 0, unit: 'mg' as const } }, [], /^dose is 0/],
    [
      { amount: { value: 3, unit: 'mL' as const } },
      [],
      /^amount is 3 mL; allowed: an amount in mg, or in mL with the strength/,
    ],
    [{}, [given(-1, 2.5, { at: 'yesterday' })], /^history is yesterday/],
  ])('%o', (more, history, message) => {
    expect(() => check(history, more)).toThrow(BadInput)
    expect(() => check(history, more)).toThrow(message)
  })
})
