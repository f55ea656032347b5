import fc from 'fast-check'
import { Temporal } from 'temporal-polyfill'
import { describe, expect, it } from 'vitest'
import { BadInput } from '../../clinical/worked.ts'
import { DAY_MS, isTimeZone, type WallTime, zoneOf } from './zone.ts'

const ZONES = Intl.supportedValuesOf('timeZone')
/** 1975 to 2036: before 1972 some zones stood off by odd seconds, and nothing is charted there. */
const anInstant = fc.integer({ min: Date.UTC(1975, 0, 1), max: Date.UTC(2036, 0, 1) })

function wallByTemporal(ms: number, zone: string): WallTime {
  const there = Temporal.Instant.fromEpochMilliseconds(ms).toZonedDateTimeISO(zone)
  const day = Date.UTC(there.year, there.month - 1, there.day) / DAY_MS
  return { day, minute: there.hour * 60 + there.minute }
}

function placedByTemporal({ day, minute }: WallTime, zone: string): number {
  const date = new Date(day * DAY_MS).toISOString().slice(0, 10)
  return Temporal.PlainDate.from(date)
    .toPlainDateTime({ hour: Math.floor(minute / 60), minute: minute % 60 })
    .toZonedDateTime(zone, { disambiguation: 'compatible' }).epochMilliseconds
}

const wall = (date: string, time: string): WallTime => {
  const [hour = 0, minute = 0] = time.split(':').map(Number)
  return { day: Date.parse(date) / DAY_MS, minute: hour * 60 + minute }
}
const placed = (zone: string, date: string, time: string) => {
  const { ms, ...rest } = zoneOf(zone).place(wall(date, time))
  return { at: new Date(ms).toISOString().replace('.000Z', 'Z'), ...rest }
}

describe('zoneOf against temporal-polyfill, an independent reading of the same zone rules', () => {
  it('covers every zone that the platform names', () => {
    expect(ZONES.length).toBeGreaterThan(300)
  })
  it('shows the same wall clock for any instant in any zone', () => {
    fc.assert(
      fc.property(fc.constantFrom(...ZONES), anInstant, (zone, ms) => {
        expect(zoneOf(zone).wallAt(ms)).toEqual(wallByTemporal(ms, zone))
      }),
      { numRuns: 1500, seed: 20261125 },
    )
  })
  it('sets any time of day of any day on the same instant, skipped and repeated ones too', () => {
    const aWall = fc.record({
      day: fc.integer({ min: 1900, max: 24_000 }),
      minute: fc.integer({ min: 0, max: 1439 }),
    })
    fc.assert(
      fc.property(fc.constantFrom(...ZONES), aWall, (zone, time) => {
        expect(zoneOf(zone).place(time).ms).toBe(placedByTemporal(time, zone))
      }),
      { numRuns: 1500, seed: 20261126 },
    )
  })
  it.each(['America/New_York', 'Europe/Berlin', 'Australia/Lord_Howe', 'Africa/Cairo', 'Asia/Beirut'])(
    'agrees for every half hour round every change of clock in %s, 2024 to 2027',
    (zone) => {
      const changes = changesOf(zone, Date.UTC(2024, 0, 1), Date.UTC(2028, 0, 1))
      expect(changes.length).toBeGreaterThanOrEqual(8)
      const misses = changes
        .flatMap((ms) => halfHoursRound(wallByTemporal(ms, zone).day))
        .filter((time) => zoneOf(zone).place(time).ms !== placedByTemporal(time, zone))
      expect(misses).toEqual([])
    },
  )
})

function changesOf(zone: string, from: number, to: number): number[] {
  const changes: number[] = []
  let at = Temporal.Instant.fromEpochMilliseconds(from).toZonedDateTimeISO(zone).getTimeZoneTransition('next')
  while (at && at.epochMilliseconds < to) {
    changes.push(at.epochMilliseconds)
    at = at.getTimeZoneTransition('next')
  }
  return changes
}

function halfHoursRound(day: number): WallTime[] {
  return [day - 1, day, day + 1].flatMap((each) =>
    Array.from({ length: 48 }, (_, half) => ({ day: each, minute: half * 30 + 15 })),
  )
}

/** Dates of the changes: US Energy Policy Act of 2005 (2nd Sunday of March, 1st of November); EU directive 2000/84. */
describe('nights on which the clock is changed, worked out by hand', () => {
  it.each([
    ['America/Chicago', '2026-03-08', '02:30', '2026-03-08T08:30:00Z', 'skipped', 60],
    ['America/Chicago', '2026-03-08', '01:59', '2026-03-08T07:59:00Z', 'plain', 0],
    ['America/Chicago', '2026-03-08', '03:00', '2026-03-08T08:00:00Z', 'plain', 0],
    ['America/Chicago', '2026-11-01', '01:30', '2026-11-01T06:30:00Z', 'repeated', 0],
    ['America/Chicago', '2026-11-01', '02:00', '2026-11-01T08:00:00Z', 'plain', 0],
    ['Europe/Berlin', '2026-03-29', '02:30', '2026-03-29T01:30:00Z', 'skipped', 60],
    ['Europe/Berlin', '2026-10-25', '02:30', '2026-10-25T00:30:00Z', 'repeated', 0],
    ['Australia/Lord_Howe', '2026-10-04', '02:15', '2026-10-03T15:45:00Z', 'skipped', 30],
    ['Australia/Lord_Howe', '2026-04-05', '01:45', '2026-04-04T14:45:00Z', 'repeated', 0],
    ['Asia/Kolkata', '2026-03-08', '02:30', '2026-03-07T21:00:00Z', 'plain', 0],
    ['America/Phoenix', '2026-03-08', '02:30', '2026-03-08T09:30:00Z', 'plain', 0],
    ['Pacific/Apia', '2011-12-30', '07:00', '2011-12-30T17:00:00Z', 'skipped', 1440],
  ])('%s %s %s is %s', (zone, date, time, at, how, shiftedMinutes) => {
    expect(placed(zone, date, time)).toEqual({ at, how, shiftedMinutes })
  })
})

describe('names that are no zone', () => {
  it.each(['', 'Mars/Olympus', '+05:00', 'UTC+5', '-06:00', 'America/Chicago '])('refuses %j', (name) => {
    expect(isTimeZone(name)).toBe(false)
    expect(() => zoneOf(name)).toThrow(BadInput)
  })
})
