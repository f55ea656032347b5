import { describe, expect, it } from 'vitest'
import { BadInput } from '../../clinical/worked.ts'
import { STANDARD_TIMES } from '../documents/standard-times.ts'
import { WINDOWS } from '../documents/windows.ts'
import { allDosesDue, doseKey, dosesDue, type TimingRules } from './doses-due.ts'
import { readFrequencyCode } from './frequency-code.ts'
import type { OrderLife } from './order-spans.ts'
import type { DoseTerms } from './repeat.ts'
import { zoneOf } from './zone.ts'

const CHICAGO: TimingRules = {
  standardTimes: STANDARD_TIMES.defaults,
  windows: WINDOWS.defaults,
  timeZone: 'America/Chicago',
}

/** An instant written short: seconds and milliseconds are zero. */
const z = (text: string) => `${text}:00.000Z`

function terms(code: string, more: Partial<DoseTerms> = {}, frequency: object = {}): DoseTerms {
  const read = readFrequencyCode(code)
  if (!read) throw new Error(`no code ${code}`)
  return {
    frequency: { ...read, ...frequency },
    priority: 'routine',
    startAt: null,
    endAt: null,
    prn: null,
    medicines: [],
    ...more,
  }
}
const life = (from: string, order: DoseTerms, more: Partial<OrderLife> = {}): OrderLife => ({
  orderId: 'o1',
  terms: [{ from, order }],
  holds: [],
  discontinued: null,
  ...more,
})
/** The doses as the clock on the wall shows them. */
function shown(
  order: OrderLife,
  from: string,
  to: string,
  rules = CHICAGO,
  dischargedAt: string | null = null,
) {
  const { wallAt } = zoneOf(rules.timeZone)
  return dosesDue(order, rules, from, to, { dischargedAt }).doses.map(({ doseAt }) => {
    const { day, minute } = wallAt(Date.parse(doseAt))
    const time = [Math.floor(minute / 60), minute % 60].map((part) => String(part).padStart(2, '0'))
    return `${new Date(day * 86_400_000).getUTCDate()} ${time.join(':')}`
  })
}

/** Thursday 5 March 2026, 07:00 in Chicago (UTC-6), and the same three days on. */
const THURSDAY = z('2026-03-05T13:00')
const FRIDAY = z('2026-03-06T13:00')
const SATURDAY = z('2026-03-07T13:00')

describe('standard times, against policy 13043 of a community hospital (2010), respiratory and nursing sections', () => {
  it.each([
    ['BID', ['5 07:00', '5 19:00']],
    ['TID', ['5 07:00', '5 13:00', '5 19:00']],
    ['QID', ['5 07:00', '5 11:00', '5 15:00', '5 19:00']],
    ['Q6H', ['5 07:00', '5 13:00', '5 19:00', '6 01:00']],
    ['Q4H', ['5 07:00', '5 11:00', '5 15:00', '5 19:00', '5 23:00', '6 03:00']],
  ])('%s at the respiratory times', (code, expected) => {
    expect(shown(life(THURSDAY, terms(code)), THURSDAY, FRIDAY)).toEqual(expected)
  })
  it.each([
    ['QD', ['5 09:00']],
    ['QHS', ['5 21:00']],
    ['Q8H', ['5 14:00', '5 22:00', '6 06:00']],
    ['Q12H', ['5 09:00', '5 21:00']],
  ])('%s, which the respiratory section lacks, at the nursing times', (code, expected) => {
    const rules = withFirstDose('next-standard-time')
    expect(shown(life(THURSDAY, terms(code)), THURSDAY, FRIDAY, rules)).toEqual(expected)
  })
  it('keeps QID and Q6H apart: the same count a day, other times', () => {
    const [qid, q6h] = ['QID', 'Q6H'].map((code) => shown(life(THURSDAY, terms(code)), THURSDAY, SATURDAY))
    expect(qid).toHaveLength(8)
    expect(q6h).toHaveLength(8)
    expect(qid).not.toEqual(q6h)
  })
  it('reads the order list example: QID for three days is twelve doses, none at the end itself', () => {
    const order = terms('QID', { startAt: z('2026-03-10T12:00'), endAt: z('2026-03-13T12:00') })
    const { doses } = dosesDue(life(z('2026-03-10T12:00'), order), CHICAGO, THURSDAY, z('2026-03-20T00:00'))
    expect(doses).toHaveLength(12)
    expect(doses[0]?.doseAt).toBe(z('2026-03-10T12:00'))
    expect(doses.at(-1)?.doseAt).toBe(z('2026-03-13T00:00'))
  })
  it('puts times that stand in the order before the standard ones', () => {
    const order = terms('TID', {}, { statedTimes: ['22:00', '06:00', '14:00'] })
    expect(shown(life(THURSDAY, order), THURSDAY, FRIDAY)).toEqual(['5 14:00', '5 22:00', '6 06:00'])
  })
  it('cuts every-four-hours down to waking hours (06:00 to 22:00), and leaves four-times-a-day four', () => {
    const q4 = terms('Q4H', {}, { whileAwake: true })
    expect(shown(life(THURSDAY, q4), THURSDAY, FRIDAY)).toEqual(['5 07:00', '5 11:00', '5 15:00', '5 19:00'])
    expect(shown(life(THURSDAY, terms('QID', {}, { whileAwake: true })), THURSDAY, FRIDAY)).toHaveLength(4)
  })
  it('wakes nobody for a first dose of an order for waking hours', () => {
    const late = z('2026-03-06T05:30') // 23:30 on the 5th
    expect(shown(life(late, terms('Q4H', {}, { whileAwake: true })), late, FRIDAY)).toEqual([])
  })
})

function withFirstDose(rule: TimingRules['standardTimes']['firstDose']['rule']): TimingRules {
  const { standardTimes } = CHICAGO
  return { ...CHICAGO, standardTimes: { ...standardTimes, firstDose: { ...standardTimes.firstDose, rule } } }
}

/** The published example: Q6H, a first dose given at once, less than 3 hours until the next standard time. */
describe('first dose, against the 50 % rule of a large US hospital network', () => {
  const q6hAt = (from: string, rule: Parameters<typeof withFirstDose>[0] = 'now-then-half-interval') =>
    shown(life(from, terms('Q6H')), from, FRIDAY, withFirstDose(rule))

  it('passes over the next standard time when less than half the interval remains', () => {
    expect(q6hAt(z('2026-03-05T16:01'))).toEqual(['5 10:01', '5 19:00', '6 01:00'])
  })
  it('joins it when half the interval or more remains', () => {
    expect(q6hAt(z('2026-03-05T16:00'))).toEqual(['5 10:00', '5 13:00', '5 19:00', '6 01:00'])
  })
  it('gives no extra dose when the order begins on a standard time', () => {
    expect(q6hAt(THURSDAY)).toEqual(['5 07:00', '5 13:00', '5 19:00', '6 01:00'])
  })
  it('waits, by the other reading of the rule, when the next standard time is near', () => {
    expect(q6hAt(z('2026-03-05T16:01'), 'wait-within-half-interval')).toEqual([
      '5 13:00',
      '5 19:00',
      '6 01:00',
    ])
    expect(q6hAt(z('2026-03-05T15:00'), 'wait-within-half-interval')[0]).toBe('5 09:00')
  })
  it('never gives an extra dose where the department says so', () => {
    expect(q6hAt(z('2026-03-05T14:00'), 'next-standard-time')).toEqual(['5 13:00', '5 19:00', '6 01:00'])
  })
  it('gives a stat order its dose at once whatever the rule, and then the standard times', () => {
    const from = z('2026-03-05T16:30')
    const due = dosesDue(
      life(from, terms('Q6H', { priority: 'stat' })),
      withFirstDose('next-standard-time'),
      from,
      FRIDAY,
    )
    expect(due.doses.map(({ kind }) => kind)).toEqual(['stat', 'scheduled', 'scheduled'])
    expect(due.doses[0]?.window).toEqual({
      earliest: from,
      onTimeUntil: z('2026-03-05T16:45'),
      latest: z('2026-03-05T20:00'), // the next at 01:00Z less the 300 min that Q6H doses must lie apart
    })
  })
})

describe('orders for one dose, and others that have no schedule', () => {
  const kinds = (order: OrderLife) =>
    dosesDue(order, CHICAGO, THURSDAY, SATURDAY).doses.map(({ kind, doseAt, class: c }) => [kind, doseAt, c])

  it.each([
    ['ONCE', 'once'],
    ['STAT', 'stat'],
    ['C', 'continuous'],
  ])('%s is due at its start, exactly', (code, kind) => {
    expect(kinds(life(THURSDAY, terms(code)))).toEqual([[kind, THURSDAY, 'exact']])
  })
  it('keeps the one dose of an order that ends where it starts', () => {
    const order = terms('ONCE', { startAt: THURSDAY, endAt: THURSDAY })
    expect(kinds(life(THURSDAY, order))).toEqual([['once', THURSDAY, 'exact']])
  })
  it('never schedules as needed, by code or by its PRN part', () => {
    const byPart = terms('Q4H', { prn: { reason: 'wheeze', minimumGapMinutes: 240 } })
    expect(kinds(life(THURSDAY, terms('PRNQ2H')))).toEqual([])
    expect(kinds(life(THURSDAY, byPart))).toEqual([])
  })
  it('gives three doses to every twenty minutes for an hour', () => {
    const order = terms('Q20M', { startAt: THURSDAY, endAt: z('2026-03-05T14:00') })
    expect(shown(life(THURSDAY, order), THURSDAY, FRIDAY)).toEqual(['5 07:00', '5 07:20', '5 07:40'])
  })
  it('counts an interval without standard times from its start, in real time', () => {
    const order = terms('Q2H')
    const from = z('2026-03-05T14:10')
    expect(shown(life(from, order), from, z('2026-03-05T21:00'))).toEqual([
      '5 08:10',
      '5 10:10',
      '5 12:10',
      '5 14:10',
    ])
  })
  it('says which order has no due times, and why', () => {
    const ask = (order: DoseTerms) =>
      dosesDue(life(THURSDAY, order), CHICAGO, THURSDAY, FRIDAY).questions.map(({ code, orderId }) => [
        orderId,
        code,
      ])
    const none = terms('QID')
    expect(ask({ ...none, frequency: null })).toEqual([['o1', 'no-frequency']])
    expect(ask(terms('5ID'))).toEqual([['o1', 'no-standard-times']])
    expect(ask(terms('QPM'))).toEqual([['o1', 'no-standard-times']])
    expect(ask(terms('QID', {}, { everyMinutes: 360 }))).toEqual([['o1', 'frequency-contradicts-itself']])
    expect(ask({ ...none, startAt: THURSDAY, endAt: z('2026-03-05T12:00') })).toEqual([
      ['o1', 'ends-before-it-starts'],
    ])
  })
  it('uses the times of day for QID even when the order is silent about them, and says so', () => {
    const silent = terms('QID', {}, { standardTimes: false })
    const [dose] = dosesDue(life(THURSDAY, silent), CHICAGO, THURSDAY, FRIDAY).doses
    expect(dose?.working.cautions).toEqual([
      'The order does not say that standard times apply; they were used',
    ])
  })
})

describe('every n days', () => {
  it('gives every other day at the daily time, from the first day that still has it', () => {
    const rules = withFirstDose('next-standard-time')
    const from = z('2026-03-05T16:00') // 10:00, after the 09:00 of the daily row
    expect(shown(life(from, terms('QOD')), from, z('2026-03-12T00:00'), rules)).toEqual([
      '6 09:00',
      '8 09:00',
      '10 09:00',
    ])
  })
  it('keeps the time of day across the change of clock when no standard time applies', () => {
    const weekly = terms('Q7D', {}, { standardTimes: false })
    const from = z('2026-03-05T16:30')
    expect(shown(life(from, weekly), from, z('2026-03-21T00:00'))).toEqual([
      '5 10:30',
      '12 10:30',
      '19 10:30',
    ])
  })
})

describe('what a dose says for itself', () => {
  const at = (frequency: object) =>
    dosesDue(life(THURSDAY, terms('QID', {}, frequency)), CHICAGO, THURSDAY, FRIDAY).doses
  it('warns when its schedule puts it nearer to the dose before than doses may come', () => {
    const [, second, third] = at({ statedTimes: ['08:00', '10:00', '16:00', '20:00'] })
    expect(second?.working.cautions).toEqual([
      'Only 120 min after the dose before; at least 180 min are asked for',
    ])
    expect(third?.working.cautions).toEqual([])
  })
  it('tells its way from the code to the window', () => {
    expect(at({})[1]?.working.steps).toEqual([
      'QID: at the respiratory times 07:00, 11:00, 15:00, 19:00',
      'Due 2026-03-05 11:00 in America/Chicago',
      'More often than daily: class more-often-than-daily, 60 min before to 60 min after',
      'QID: at least 180 min apart, as set by the department',
    ])
  })
})

describe('the life of an order', () => {
  const q4h = terms('Q4H', { startAt: THURSDAY })

  it('follows new terms from when they take effect, without another first dose', () => {
    const changed = life(THURSDAY, terms('Q4H'), {
      terms: [
        { from: THURSDAY, order: terms('Q4H') },
        { from: z('2026-03-05T18:30'), order: terms('BID') },
      ],
    })
    expect(shown(changed, THURSDAY, FRIDAY)).toEqual(['5 07:00', '5 11:00', '5 19:00'])
  })
  it('goes on counting from the first start when only the dose was changed', () => {
    const every20 = terms('Q20M')
    const changed = life(THURSDAY, every20, {
      terms: [
        { from: THURSDAY, order: every20 },
        { from: z('2026-03-05T13:30'), order: terms('Q20M') },
      ],
    })
    expect(shown(changed, THURSDAY, z('2026-03-05T14:10'))).toEqual([
      '5 07:00',
      '5 07:20',
      '5 07:40',
      '5 08:00',
    ])
  })
  it('begins changed terms counted in days at the very second from which they hold', () => {
    const from = '2026-03-05T15:00:30.000Z'
    const daily = terms('Q1D', {}, { standardTimes: false })
    const changed = life(THURSDAY, terms('QID'), {
      terms: [
        { from: THURSDAY, order: terms('QID') },
        { from, order: daily },
      ],
    })
    const { doses } = dosesDue(changed, CHICAGO, THURSDAY, SATURDAY)
    expect(doses.map(({ doseAt }) => doseAt)).toEqual([THURSDAY, from, z('2026-03-06T15:00')])
  })
  it('makes no second dose out of a one-time order whose text was changed afterwards', () => {
    const changed = life(THURSDAY, terms('ONCE'), {
      terms: [
        { from: THURSDAY, order: terms('ONCE') },
        { from: z('2026-03-05T15:00'), order: terms('ONCE') },
      ],
    })
    expect(shown(changed, THURSDAY, FRIDAY)).toEqual(['5 07:00'])
  })
  it('asks when changed terms take effect before they start', () => {
    const changed = life(THURSDAY, terms('QID'), {
      terms: [
        { from: THURSDAY, order: terms('QID') },
        { from: z('2026-03-05T15:00'), order: terms('BID', { startAt: z('2026-03-06T01:00') }) },
      ],
    })
    const due = dosesDue(changed, CHICAGO, THURSDAY, FRIDAY)
    expect(due.doses.map(({ doseAt }) => doseAt)).toEqual([THURSDAY, z('2026-03-06T01:00')])
    expect(due.questions.map(({ code }) => code)).toEqual(['changed-terms-begin-later'])
  })
  it('drops the doses of a hold, its first instant included, its last not', () => {
    const holds = [{ from: z('2026-03-05T17:00'), to: z('2026-03-06T01:00') }]
    expect(shown(life(THURSDAY, q4h, { holds }), THURSDAY, FRIDAY)).toEqual([
      '5 07:00',
      '5 19:00',
      '5 23:00',
      '6 03:00',
    ])
  })
  it('gives a one-time dose when its hold ends, and not while it lasts', () => {
    const held = (to: string | null) =>
      life(THURSDAY, terms('ONCE'), { holds: [{ from: z('2026-03-05T12:00'), to }] })
    expect(shown(held(z('2026-03-05T16:10')), THURSDAY, FRIDAY)).toEqual(['5 10:10'])
    expect(shown(held(null), THURSDAY, FRIDAY)).toEqual([])
  })
  it('ends at discontinuation and at discharge, that instant excluded; what was due before stays', () => {
    const at = z('2026-03-05T21:00')
    const first = ['5 07:00', '5 11:00']
    expect(shown(life(THURSDAY, q4h, { discontinued: { at } }), THURSDAY, FRIDAY)).toEqual(first)
    expect(shown(life(THURSDAY, q4h), THURSDAY, FRIDAY, CHICAGO, at)).toEqual(first)
  })
  it('names each dose by its order and instant', () => {
    const [dose] = dosesDue(life(THURSDAY, q4h), CHICAGO, THURSDAY, FRIDAY).doses
    expect(dose?.key).toBe(doseKey('o1', THURSDAY))
  })
  it('lists many orders by time, then by order', () => {
    const orders = ['b', 'a'].map((orderId) => ({ ...life(THURSDAY, terms('BID')), orderId }))
    const { doses } = allDosesDue(orders, CHICAGO, THURSDAY, FRIDAY)
    expect(doses.map(({ orderId }) => orderId)).toEqual(['a', 'b', 'a', 'b'])
  })
})

describe('refusals', () => {
  const order = life(THURSDAY, terms('QID'))
  it.each([
    ['an instant without zone', '2026-03-05T07:00:00.000', FRIDAY, CHICAGO],
    ['an end before its beginning', FRIDAY, THURSDAY, CHICAGO],
    ['more than 400 days', THURSDAY, z('2027-06-01T00:00'), CHICAGO],
    ['a zone nobody knows', THURSDAY, FRIDAY, { ...CHICAGO, timeZone: 'Mars/Olympus' }],
  ])('refuses %s', (_, from, to, rules) => {
    expect(() => dosesDue(order, rules, from, to)).toThrow(BadInput)
  })
})
