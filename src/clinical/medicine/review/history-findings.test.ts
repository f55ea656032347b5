import { describe, expect, it } from 'vitest'
import { BadInput } from '../../worked.ts'
import { defaultFormulary } from '../formulary/formulary.ts'
import type { GivenDose, ProposedDose } from '../timing/dose-history.ts'
import { historyFindings } from './history-findings.ts'

const NOON = '2026-03-08T12:00:00.000Z'
const hours = (fromNoon: number) => new Date(Date.parse(NOON) + fromNoon * 3_600_000).toISOString()
const dose: ProposedDose = {
  medicineId: 'albuterol',
  amount: { value: 2.5, unit: 'mg' },
  at: NOON,
  acute: false,
  ageDays: 20_000,
  weightKg: 70,
}
const given = (hour: number, value: number, more: Partial<GivenDose> = {}): GivenDose => ({
  medicineId: 'albuterol',
  amount: { value, unit: 'mg' },
  route: 'inhalation',
  at: hours(hour),
  ...more,
})
const found = (history: readonly GivenDose[], more: Partial<ProposedDose> = {}) =>
  historyFindings(defaultFormulary(), { ...dose, ...more }, history)
const codes = (...asked: Parameters<typeof found>) =>
  found(...asked).map(({ code, severity }) => `${severity} ${code}`)

describe('what was given before, as findings', () => {
  it('is nothing when there is time and room', () => {
    expect(codes([])).toEqual([])
    expect(codes([given(-4, 7.5)])).toEqual([])
  })
  it('is too early by the routine gap, or by the acute one', () => {
    expect(codes([given(-3.99, 2.5)])).toEqual(['ask too-early:albuterol'])
    expect(codes([given(-0.34, 2.5)], { acute: true })).toEqual([])
    expect(found([given(-0.25, 2.5)], { acute: true })[0]).toMatchObject({
      what: 'albuterol: 15 min from the nearest dose; the shortest acute gap is 20 min',
      whoMustAnswer: 'prescriber',
    })
  })
  it('is too much from the first hair above the maximum; for an acute order a note', () => {
    expect(codes([given(-5, 7.6)])).toEqual(['ask over-24-hours:albuterol'])
    expect(codes([given(-5, 7.6)], { acute: true })).toEqual(['note over-24-hours:albuterol'])
    const [finding] = found([given(-5, 7.6)])
    expect(finding?.what).toBe(
      'albuterol: with this dose 24 hours would hold 10.1 mg; the published most is 10 mg',
    )
    expect(finding?.why).toContain('2.5 + 7.6 = 10.1 mg in 24 h')
    expect(finding?.sources.length).toBeGreaterThan(1)
  })
  it('says which doses the total leaves out', () => {
    expect(found([given(-6, 3, { amount: { value: 3, unit: 'mL' } })])).toMatchObject([
      {
        code: 'uncounted:albuterol',
        severity: 'caution',
        what: 'albuterol: the total of 24 hours (2.5 mg) leaves out doses on record; it may be higher',
        why: `3 mL at ${hours(-6)} cannot be counted in mg`,
        whoMustAnswer: 'pharmacist',
      },
    ])
  })
  it('looks at each drug of a combination', () => {
    const vial = { medicineId: 'ipratropium-albuterol', amount: { value: 1, unit: 'vial' } } as const
    const before = [-5, -10, -15].flatMap((hour) => [
      given(hour, 5),
      given(hour, 0.5, { medicineId: 'ipratropium' }),
    ])
    expect(codes(before, vial)).toEqual(['ask over-24-hours:albuterol'])
  })
  it('refuses what cannot be counted at all', () => {
    expect(() => found([], { amount: { value: 2, unit: 'IU' } })).toThrow(BadInput)
    expect(() => found([], { medicineId: 'snow' })).toThrow(/^medicineId is snow/)
  })
})
