import { describe, expect, it } from 'vitest'
import { defaultFormulary } from '../formulary/formulary.ts'
import { cycleFindings } from './cycle-check.ts'
import { codes, finding, line, order } from './review-cases.test-help.ts'

const tobramycin = line('tobramycin', 300, 'mg')
const asked = (startAt: string | null | undefined, endAt: string | null | undefined) =>
  codes(
    order([tobramycin], {
      frequency: { timesPerDay: 2 },
      indication: 'cystic fibrosis',
      ...(startAt !== undefined && { startAt }),
      ...(endAt !== undefined && { endAt }),
    }),
  ).filter((code) => code.includes('cycle'))
const START = '2026-03-01T08:00:00Z'

describe('an order for a drug that is given in turns', () => {
  it('may run for the 28 days on, and is asked about a moment longer', () => {
    expect(asked(START, '2026-03-29T08:00:00Z')).toEqual([])
    expect(asked(START, '2026-03-29T08:00:01Z')).toEqual(['ask cycle-too-long:tobramycin'])
  })
  it('is asked for its end and its beginning', () => {
    expect(asked(START, null)).toEqual(['ask cycle-no-end:tobramycin'])
    expect(asked(null, '2026-03-29T08:00:00Z')).toEqual(['ask cycle-no-start:tobramycin'])
  })
  it('says the turns, the length and the label', () => {
    const long = order([tobramycin], { startAt: START, endAt: '2026-04-30T08:00:00Z' })
    expect(finding(long, 'cycle-too-long:tobramycin')).toMatchObject({
      what: 'tobramycin: ordered for 60 days without a pause: confirm; 28 days on, 28 days off',
      why: 'from 2026-03-01T08:00:00Z to 2026-04-30T08:00:00Z',
      whoMustAnswer: 'prescriber',
      sources: [expect.stringContaining('(verified)')],
    })
  })
  it('is not asked when it is for one dose, or for a drug without turns', () => {
    expect(codes(order([tobramycin], { frequency: { once: true }, endAt: null })).join()).not.toContain(
      'cycle',
    )
    expect(codes(order([line('albuterol', 2.5, 'mg')], { endAt: null }))).toEqual([])
  })
})

describe('a dose in the days off', () => {
  const at = (days: number) => new Date(Date.parse(START) + days * 86_400_000).toISOString()
  const found = (given: readonly number[], now: number) =>
    cycleFindings(defaultFormulary(), 'tobramycin', given.map(at), at(now))
  it('is a caution that says how long it rests', () => {
    expect(found([0, 20], 30)).toMatchObject([
      {
        code: 'cycle-off:tobramycin',
        severity: 'caution',
        what: 'tobramycin: day 31 of a course of 28 days; it rests until 2026-04-26',
      },
    ])
  })
  it('says that no pause is on record when it went on and on', () => {
    expect(found([0, 20, 40, 60], 60)[0]?.what).toBe(
      'tobramycin: day 61 of a course of 28 days; no pause of 28 days is on record since it began',
    )
  })
  it('is nothing in the days on, or without turns', () => {
    expect(found([0, 20], 27)).toEqual([])
    expect(cycleFindings(defaultFormulary(), 'albuterol', [at(0)], at(30))).toEqual([])
  })
})
