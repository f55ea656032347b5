import { describe, expect, it } from 'vitest'
import { BadInput } from '../../clinical/worked.ts'
import { TIMING_CALCULATIONS } from './calculations.ts'

function work(name: string, given: unknown) {
  const found = TIMING_CALCULATIONS.find((each) => each.name === name)
  if (!found) throw new Error(`no calculation ${name}`)
  return found.run(found.input.parse(given))
}
const QID = {
  frequency: 'QID',
  start: '2026-03-10T07:00:00-05:00',
  end: '2026-03-13T07:00:00-05:00',
  timeZone: 'America/Chicago',
  from: '2026-03-10T12:00:00Z',
  to: '2026-03-11T12:00:00Z',
}
type Doses = { doses: { doseAt: string; kind: string }[]; questions: { code: string }[] }
const dosesOf = (given: unknown) => work('due-times', given).result as Doses
const hours = (given: unknown) => dosesOf(given).doses.map(({ doseAt }) => doseAt.slice(11, 16))

describe('due-times', () => {
  it('gives the doses and windows of a day, with their working', () => {
    const { result, working } = work('due-times', QID)
    expect((result as Doses).doses[0]).toEqual({
      key: 'order@2026-03-10T12:00:00.000Z',
      orderId: 'order',
      doseAt: '2026-03-10T12:00:00.000Z',
      kind: 'scheduled',
      class: 'more-often-than-daily',
      window: {
        earliest: '2026-03-10T11:00:00.000Z',
        onTimeUntil: '2026-03-10T13:00:00.000Z',
        latest: null,
      },
      minutesSinceDoseBefore: null,
      minimumGapMinutes: 180,
    })
    expect(working.steps).toHaveLength(4)
    expect(working.steps[0]).toContain('QID: at the respiratory times 07:00, 11:00, 15:00, 19:00')
    expect(working.sources.map(({ key }) => key)).toContain('policy-respiratory')
  })
  it.each([
    ['the respiratory table by default', {}, ['12:00', '16:00', '20:00', '00:00']],
    // The order begins at 07:00; 09:00 is at least half of four hours away and so is not passed over.
    ['the nursing table', { standardTimes: 'nursing' }, ['12:00', '14:00', '18:00', '22:00', '02:00']],
    [
      'a table of its own',
      { standardTimes: { QID: ['06:00', '10:00', '14:00', '18:00'] }, firstDose: 'next-standard-time' },
      ['15:00', '19:00', '23:00', '11:00'],
    ],
    ['times stated in the order', { statedTimes: ['08:30'] }, ['13:30']],
  ])('takes %s', (_, more, expected) => {
    expect(hours({ ...QID, ...more })).toEqual(expected)
  })
  it('follows holds, discontinuation, discharge and priority', () => {
    const hold = { from: '2026-03-10T15:30:00Z', to: '2026-03-10T20:00:00Z' }
    expect(hours({ ...QID, holds: [hold] })).toEqual(['12:00', '20:00', '00:00'])
    expect(hours({ ...QID, discontinuedAt: '2026-03-10T20:00:00Z' })).toEqual(['12:00', '16:00'])
    expect(hours({ ...QID, dischargedAt: '2026-03-10T20:00:00Z' })).toEqual(['12:00', '16:00'])
    const stat = dosesOf({ ...QID, start: '2026-03-10T13:10:00Z', priority: 'stat' })
    expect(stat.doses[0]).toMatchObject({ kind: 'stat', doseAt: '2026-03-10T13:10:00.000Z' })
  })
  it('counts from the start when asked to', () => {
    expect(hours({ ...QID, frequency: 'Q8H', start: '2026-03-10T12:20:00Z', countFromStart: true })).toEqual([
      '12:20',
      '20:20',
      '04:20',
    ])
  })
  it('refuses what it does not know, and unknown fields', () => {
    expect(() => work('due-times', { ...QID, frequency: 'SOMETIMES' })).toThrow(BadInput)
    expect(() => work('due-times', { ...QID, standardTimes: 'weekend' })).toThrow(BadInput)
    expect(() => work('due-times', { ...QID, timezone: 'UTC' })).toThrow(/timezone/)
    expect(() =>
      work('due-times', { ...QID, standardTimes: { QID: ['08:00', '08:00', '12:00', '16:00'] } }),
    ).toThrow(/standardTimes\.QID/)
    expect(() => work('due-times', { ...QID, start: '2026-03-10T07:00:00' })).toThrow()
  })
})

describe('prn-available and minimum-gap', () => {
  it('answer as the functions behind them', () => {
    const last = { lastGivenAt: '2026-03-10T08:05:00-05:00' }
    expect(work('prn-available', { ...last, minimumGapMinutes: 120 }).result).toEqual({
      kind: 'from',
      at: '2026-03-10T15:05:00.000Z',
    })
    expect(work('prn-available', { lastGivenAt: null, minimumGapMinutes: null }).result).toEqual({
      kind: 'any time',
    })
    const gap = work('minimum-gap', { ...last, at: '2026-03-10T14:05:00Z', minimumGapMinutes: 120 })
    expect(gap.result).toEqual({
      minutes: 60,
      minimumMinutes: 120,
      short: true,
      shortByMinutes: 60,
      enoughFrom: '2026-03-10T15:05:00.000Z',
    })
  })
})
