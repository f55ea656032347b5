import { describe, expect, it } from 'vitest'
import { STANDARD_TIMES } from '../documents/standard-times.ts'
import { WINDOWS } from '../documents/windows.ts'
import { dosesDue } from './doses-due.ts'
import { readFrequencyCode } from './frequency-code.ts'
import { zoneOf } from './zone.ts'

type Night = { readonly zone: string; readonly from: string; readonly to: string }
type Given = { readonly statedTimes?: string[]; readonly standardTimes?: boolean; readonly start?: string }

/** Doses of a night as [wall clock, UTC, real minutes since the dose before]. */
function through({ zone, from, to }: Night, code: string, { start, ...frequency }: Given = {}) {
  const read = readFrequencyCode(code)
  if (!read) throw new Error(code)
  const order = {
    frequency: { ...read, ...frequency },
    priority: 'routine' as const,
    startAt: start ?? null,
    endAt: null,
    prn: null,
    medicines: [],
  }
  const begun = start ?? new Date(Date.parse(from) - 5 * 86_400_000).toISOString()
  const life = { orderId: 'o', terms: [{ from: begun, order }], holds: [], discontinued: null }
  const rules = { standardTimes: STANDARD_TIMES.defaults, windows: WINDOWS.defaults, timeZone: zone }
  return dosesDue(life, rules, from, to).doses.map(({ doseAt, minutesSinceDoseBefore, working }) => {
    const { minute } = zoneOf(zone).wallAt(Date.parse(doseAt))
    const two = (part: number) => String(part).padStart(2, '0')
    return {
      wall: `${two(Math.floor(minute / 60))}:${two(minute % 60)}`,
      utc: doseAt.slice(11, 16),
      since: minutesSinceDoseBefore,
      cautions: working.cautions,
    }
  })
}
const brief = (doses: ReturnType<typeof through>) =>
  doses.map(({ wall, utc, since }) => `${wall} ${utc} ${since}`)

const at = (text: string) => `${text}:00.000Z`
/** Each from the evening before to the noon after, worked out by hand from the published offsets. */
const SPRING_NEW_YORK: Night = {
  zone: 'America/New_York', // UTC-5, from 8 March 2026 07:00Z UTC-4
  from: at('2026-03-08T00:00'),
  to: at('2026-03-08T17:00'),
}
const AUTUMN_NEW_YORK: Night = {
  zone: 'America/New_York', // UTC-4, from 1 November 2026 06:00Z UTC-5
  from: at('2026-10-31T23:00'),
  to: at('2026-11-01T17:00'),
}
const SPRING_BERLIN: Night = {
  zone: 'Europe/Berlin', // UTC+1, from 29 March 2026 01:00Z UTC+2
  from: at('2026-03-28T18:00'),
  to: at('2026-03-29T10:00'),
}
const AUTUMN_BERLIN: Night = {
  zone: 'Europe/Berlin', // UTC+2, from 25 October 2026 01:00Z UTC+1
  from: at('2026-10-24T17:00'),
  to: at('2026-10-25T11:00'),
}
const SPRING_LORD_HOWE: Night = {
  zone: 'Australia/Lord_Howe', // UTC+10:30, from 3 October 2026 15:30Z UTC+11
  from: at('2026-10-03T08:00'),
  to: at('2026-10-04T01:00'),
}
const AUTUMN_LORD_HOWE: Night = {
  zone: 'Australia/Lord_Howe', // UTC+11, from 4 April 2026 15:00Z UTC+10:30
  from: at('2026-04-04T08:00'),
  to: at('2026-04-05T01:00'),
}
const KOLKATA: Night = {
  zone: 'Asia/Kolkata', // UTC+5:30 all year
  from: at('2026-03-07T13:00'),
  to: at('2026-03-08T06:00'),
}

describe('every four hours at standard times (19 23 03 07 11)', () => {
  it('loses an hour of real time between 23:00 and 03:00 in spring', () => {
    expect(brief(through(SPRING_NEW_YORK, 'Q4H'))).toEqual([
      '19:00 00:00 240',
      '23:00 04:00 240',
      '03:00 07:00 180',
      '07:00 11:00 240',
      '11:00 15:00 240',
    ])
    expect(brief(through(SPRING_BERLIN, 'Q4H'))).toEqual([
      '19:00 18:00 240',
      '23:00 22:00 240',
      '03:00 01:00 180',
      '07:00 05:00 240',
      '11:00 09:00 240',
    ])
  })
  it('gains one in autumn', () => {
    expect(brief(through(AUTUMN_NEW_YORK, 'Q4H'))).toEqual([
      '19:00 23:00 240',
      '23:00 03:00 240',
      '03:00 08:00 300',
      '07:00 12:00 240',
      '11:00 16:00 240',
    ])
    expect(brief(through(AUTUMN_BERLIN, 'Q4H'))).toEqual([
      '19:00 17:00 240',
      '23:00 21:00 240',
      '03:00 02:00 300',
      '07:00 06:00 240',
      '11:00 10:00 240',
    ])
  })
  it('moves by half an hour on Lord Howe, and not at all where clocks stay', () => {
    expect(through(SPRING_LORD_HOWE, 'Q4H').map(({ since }) => since)).toEqual([240, 240, 210, 240, 240])
    expect(through(AUTUMN_LORD_HOWE, 'Q4H').map(({ since }) => since)).toEqual([240, 240, 270, 240, 240])
    expect(brief(through(KOLKATA, 'Q4H'))).toEqual([
      '19:00 13:30 240',
      '23:00 17:30 240',
      '03:00 21:30 240',
      '07:00 01:30 240',
      '11:00 05:30 240',
    ])
  })
  it('says so at the dose', () => {
    const cautions = through(SPRING_NEW_YORK, 'Q4H').map((dose) => dose.cautions)
    expect(cautions).toEqual([
      [],
      [],
      ['The clock is changed in between: 240 min on the wall are 180 min of real time'],
      [],
      [],
    ])
  })
})

describe('every four hours counted from a start', () => {
  it('stays four real hours, and the wall clock shifts', () => {
    const start = at('2026-03-08T00:00')
    expect(brief(through(SPRING_NEW_YORK, 'Q4H', { standardTimes: false, start }))).toEqual([
      '19:00 00:00 null',
      '23:00 04:00 240',
      '04:00 08:00 240',
      '08:00 12:00 240',
      '12:00 16:00 240',
    ])
    const autumn = at('2026-10-31T23:00')
    expect(brief(through(AUTUMN_NEW_YORK, 'Q4H', { standardTimes: false, start: autumn }))).toEqual([
      '19:00 23:00 null',
      '23:00 03:00 240',
      '02:00 07:00 240',
      '06:00 11:00 240',
      '10:00 15:00 240',
    ])
  })
})

describe('a time that the night skips', () => {
  it('moves on by the length of the gap, which keeps the real time since the dose before', () => {
    const stated = { statedTimes: ['22:30', '02:30', '06:30'] }
    expect(brief(through(SPRING_NEW_YORK, 'TID', stated))).toEqual([
      '22:30 03:30 960',
      '03:30 07:30 240', // 22:30 plus four real hours
      '06:30 10:30 180',
    ])
    expect(through(SPRING_NEW_YORK, 'TID', stated)[1]?.cautions[0]).toBe(
      'The clock skips this time; the dose moves on by 60 min',
    )
    expect(brief(through(SPRING_LORD_HOWE, 'TID', { statedTimes: ['22:15', '02:15', '06:15'] }))).toEqual([
      '22:15 11:45 960',
      '02:45 15:45 240',
      '06:15 19:15 210',
    ])
  })
  it('is one dose with the time it lands on', () => {
    const doses = through(SPRING_NEW_YORK, 'BID', { statedTimes: ['02:00', '03:00'] })
    expect(brief(doses)).toEqual(['03:00 07:00 1380'])
    expect(doses[0]?.cautions[0]).toBe(
      'The clock skips 2026-03-08 02:00; that dose falls together with this one',
    )
  })
})

describe('a time that comes twice', () => {
  it('counts the first time only', () => {
    expect(brief(through(AUTUMN_NEW_YORK, 'TID', { statedTimes: ['21:30', '01:30', '05:30'] }))).toEqual([
      '21:30 01:30 960',
      '01:30 05:30 240', // still UTC-4
      '05:30 10:30 300',
    ])
    expect(brief(through(AUTUMN_BERLIN, 'QD', { statedTimes: ['02:30'] }))).toEqual(['02:30 00:30 1440'])
    expect(brief(through(AUTUMN_LORD_HOWE, 'QD', { statedTimes: ['01:45'] }))).toEqual(['01:45 14:45 1440'])
  })
  it('says so at the dose', () => {
    const [dose] = through(AUTUMN_BERLIN, 'QD', { statedTimes: ['02:30'] })
    expect(dose?.cautions).toEqual(['The clock shows this time twice; the first counts'])
  })
})

describe('every six hours at standard times in the repeated hour (01:00 comes twice in New York)', () => {
  it('gives 01:00 once, on the first', () => {
    expect(brief(through(AUTUMN_NEW_YORK, 'Q6H'))).toEqual([
      '19:00 23:00 360',
      '01:00 05:00 360',
      '07:00 12:00 420',
    ])
  })
})
