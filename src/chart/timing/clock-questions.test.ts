import { describe, expect, it } from 'vitest'
import { STANDARD_TIMES } from '../documents/standard-times.ts'
import { WINDOWS } from '../documents/windows.ts'
import { dosesDue } from './doses-due.ts'
import { readFrequencyCode } from './frequency-code.ts'

/**
 * The nights are of the IANA time zone data, as the platform's Intl has them (offsets in the comments). A time that
 * does not exist is read by the offset before the gap: RFC 5545 section 3.3.5 (from memory).
 */
function due(timeZone: string, day: string, statedTimes: string[], code = 'BID') {
  const frequency = { ...readFrequencyCode(code), code, standardTimes: false, statedTimes }
  const from = Date.parse(`${day}T00:00:00Z`)
  const iso = (days: number) => new Date(from + days * 86_400_000).toISOString()
  const order = {
    frequency,
    priority: 'routine' as const,
    startAt: iso(-3),
    endAt: null,
    prn: null,
    medicines: [],
  }
  const life = { orderId: 'o', terms: [{ from: iso(-3), order }], holds: [], discontinued: null }
  const rules = { standardTimes: STANDARD_TIMES.defaults, windows: WINDOWS.defaults, timeZone }
  const { doses, questions } = dosesDue(life, rules, iso(-1), iso(2))
  return {
    doses: doses.map(({ doseAt }) => doseAt.slice(5, 16)),
    questions: questions.map(({ code: kind, what, doseAt }) => ({
      kind,
      what,
      doseAt: doseAt?.slice(5, 16),
    })),
  }
}

const together = (doseAt: string, what: string) => ({ kind: 'clock-change-joins-doses', what, doseAt })

const EVERY_HOUR = Array.from({ length: 24 }, (_, hour) => `${String(hour).padStart(2, '0')}:00`)

describe('a dose every hour, or oftener, by the clock', () => {
  it.each([
    ['Europe/London', '2026-03-29'],
    ['America/Chicago', '2026-03-08'],
  ])('asks nothing of the hour that the spring night in %s has less: no dose is lost', (timeZone, day) => {
    const { doses, questions } = due(timeZone, day, EVERY_HOUR, 'Q1H')
    expect(questions).toEqual([])
    expect(doses).toHaveLength(72) // every hour of real time from the day before to the day after
    expect(new Set(doses).size).toBe(72)
    const halves = EVERY_HOUR.flatMap((time) => [time, time.replace(':00', ':30')])
    expect(due(timeZone, day, halves, 'Q30M').questions).toEqual([])
  })
  it('asks where the times stop soon after it: two of three doses an hour apart are one', () => {
    const { questions } = due('America/Chicago', '2026-03-08', ['01:00', '02:00', '03:00'], 'TID')
    expect(questions.map(({ kind, doseAt }) => [kind, doseAt])).toEqual([
      ['clock-change-joins-doses', '03-08T08:00'],
    ])
    const later = due('America/Chicago', '2026-03-08', ['02:00', '03:00', '04:00'], 'TID')
    expect(later.questions).toHaveLength(1)
  })
})

describe('a time that does not exist and lands on another dose', () => {
  it('is one dose and a question in London (UTC+0, from 29 March 2026 01:00Z UTC+1)', () => {
    const { doses, questions } = due('Europe/London', '2026-03-29', ['01:30', '02:30'])
    expect(doses).toEqual(['03-28T01:30', '03-28T02:30', '03-29T01:30', '03-30T00:30', '03-30T01:30'])
    expect(questions).toEqual([
      together(
        '03-29T01:30',
        '2026-03-29 01:30 does not exist in Europe/London; moved on by 60 min it falls together with the dose at 2026-03-29 02:30: one dose stands there for two',
      ),
    ])
  })
  it('is asked in New York, of three times as of two (UTC-5, from 8 March 2026 07:00Z UTC-4)', () => {
    for (const times of [
      ['02:30', '03:30'],
      ['02:30', '03:30', '14:00'],
    ]) {
      const { questions } = due('America/New_York', '2026-03-08', times, times.length === 2 ? 'BID' : 'TID')
      expect(questions).toEqual([
        together(
          '03-08T07:30',
          '2026-03-08 02:30 does not exist in America/New_York; moved on by 60 min it falls together with the dose at 2026-03-08 03:30: one dose stands there for two',
        ),
      ])
    }
  })
  it.each([
    ['Australia/Lord_Howe', '2026-10-04', ['02:15', '02:45'], '2026-10-04 02:15', 30], // UTC+10:30 to +11
    ['America/Santiago', '2026-09-06', ['00:30', '01:30'], '2026-09-06 00:30', 60], // UTC-4 to -3 at midnight
    ['Africa/Cairo', '2026-04-24', ['00:30', '01:30'], '2026-04-24 00:30', 60], // UTC+2 to +3 at midnight
    ['Asia/Beirut', '2026-03-29', ['00:30', '01:30'], '2026-03-29 00:30', 60], // UTC+2 to +3 at midnight
  ])('is asked in %s', (zone, day, times, missing, minutes) => {
    const { questions } = due(zone, day, times)
    expect(questions.map(({ kind }) => kind)).toEqual(['clock-change-joins-doses'])
    expect(questions[0]?.what).toMatch(`${missing} does not exist in ${zone}; moved on by ${minutes} min`)
  })
  it('is asked of each time of a day that was left out (Apia had no 30 December 2011)', () => {
    const { questions } = due('Pacific/Apia', '2011-12-30', ['07:00', '19:00'])
    expect(questions.map(({ what }) => what)).toEqual(
      ['07:00', '19:00'].map(
        (time) =>
          `2011-12-30 ${time} does not exist in Pacific/Apia; moved on by 1440 min it falls together with the dose at 2011-12-31 ${time}: one dose stands there for two`,
      ),
    )
  })
  it('is not asked where the other dose falls on another day', () => {
    expect(due('Europe/London', '2026-03-29', ['01:30', '13:30']).questions).toEqual([])
  })
})

describe('doses that a change of clock brings close together', () => {
  it('are asked about when less than half the shortest gap of the schedule is left', () => {
    const { doses, questions } = due('Europe/London', '2026-03-29', ['01:30', '02:45'])
    expect(doses.slice(2, 4)).toEqual(['03-29T01:30', '03-29T01:45'])
    expect(questions).toEqual([
      {
        kind: 'clock-change-crowds-doses',
        what: '2026-03-29 02:30 and 2026-03-29 02:45 in Europe/London lie 15 min of real time apart, of 75 min at least on other days: the time of the dose at 2026-03-29 02:30 does not exist that night and was moved on by 60 min',
        doseAt: '03-29T01:45',
      },
    ])
  })
  it('are asked about when neither was moved', () => {
    const { questions } = due('Europe/London', '2026-03-29', ['00:50', '02:05'])
    expect(questions.map(({ what }) => what)).toEqual([
      '2026-03-29 00:50 and 2026-03-29 02:05 in Europe/London lie 15 min of real time apart, of 75 min at least on other days: the clock is changed in between',
    ])
  })
  it('are let be at exactly half', () => {
    expect(due('Europe/London', '2026-03-29', ['00:30', '02:30']).questions).toEqual([])
    expect(due('Europe/London', '2026-03-29', ['00:31', '02:30']).questions).toHaveLength(1)
  })
})

describe('doses that something else brings close together', () => {
  it('raise no question of the clock', () => {
    const stated = (statedTimes: string[]) => ({
      frequency: { ...readFrequencyCode('BID'), code: 'BID', standardTimes: false, statedTimes },
      priority: 'routine' as const,
      startAt: '2026-06-01T00:00:00.000Z',
      endAt: null,
      prn: null,
      medicines: [],
    })
    const terms = [
      { from: '2026-06-01T00:00:00.000Z', order: stated(['08:00', '20:00']) },
      { from: '2026-06-10T08:30:00.000Z', order: stated(['09:00', '21:00']) },
    ]
    const life = { orderId: 'o', terms, holds: [], discontinued: null }
    const rules = { standardTimes: STANDARD_TIMES.defaults, windows: WINDOWS.defaults, timeZone: 'UTC' }
    const { doses, questions } = dosesDue(life, rules, '2026-06-10T00:00:00.000Z', '2026-06-11T00:00:00.000Z')
    expect(doses.map(({ doseAt }) => doseAt.slice(11, 16))).toEqual(['08:00', '09:00', '21:00'])
    expect(questions).toEqual([])
  })
})

describe('a time that comes twice', () => {
  it('is one dose, at the first, and nothing is asked', () => {
    const { doses, questions } = due('Europe/London', '2026-10-25', ['01:30', '02:30'])
    expect(doses.slice(2, 4)).toEqual(['10-25T00:30', '10-25T02:30'])
    expect(questions).toEqual([])
  })
})

describe('a time that an order states twice', () => {
  it('is asked about instead of being one dose in silence', () => {
    const { doses, questions } = due('Europe/London', '2026-06-10', ['08:00', '08:00'])
    expect(doses).toEqual([])
    expect(questions).toEqual([
      { kind: 'frequency-contradicts-itself', what: 'BID states 08:00 twice', doseAt: undefined },
    ])
  })
})
