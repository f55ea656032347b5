import fc from 'fast-check'
import { Temporal } from 'temporal-polyfill'
import { describe, expect, it } from 'vitest'
import { STANDARD_TIMES, type StandardTimes } from '../documents/standard-times.ts'
import { WINDOWS } from '../documents/windows.ts'
import { allDosesDue, dosesDue, type TimingRules } from './doses-due.ts'
import { readFrequencyCode } from './frequency-code.ts'
import type { OrderLife } from './order-spans.ts'
import { zoneOf } from './zone.ts'

const SEED = 20261125
const MINUTE = 60_000
const DAY = 86_400_000
/** With and without changes of clock, by an hour and by half an hour, either side of the equator and of UTC. */
const ZONES = [
  'America/New_York',
  'America/Chicago',
  'Europe/Berlin',
  'Australia/Lord_Howe',
  'Asia/Kolkata',
  'Africa/Casablanca',
  'America/Santiago',
  'Pacific/Apia',
]
const TIMES_OF_DAY = ['QD', 'BID', 'TID', 'QID', 'Q4H', 'Q6H', 'Q8H', 'Q12H']
const FROM_START = [20, 60, 120, 180, 240, 360]

const rulesIn = (timeZone: string, rule: StandardTimes['firstDose']['rule']): TimingRules => {
  const { defaults } = STANDARD_TIMES
  const standardTimes = { ...defaults, firstDose: { ...defaults.firstDose, rule } }
  return { standardTimes, windows: WINDOWS.defaults, timeZone }
}

const aMinute = fc
  .integer({ min: Date.UTC(2024, 0, 1) / MINUTE, max: Date.UTC(2028, 0, 1) / MINUTE })
  .map((minute) => minute * MINUTE)
const iso = (ms: number) => new Date(ms).toISOString()

/** Any order on standard times, and a stretch of one to six days to look at, begun before, in or after it. */
const aCase = fc.record({
  zone: fc.constantFrom(...ZONES),
  code: fc.constantFrom(...TIMES_OF_DAY),
  startMs: aMinute,
  leadMinutes: fc.integer({ min: -3 * 1440, max: 40 * 1440 }),
  lookMinutes: fc.integer({ min: 1, max: 6 * 1440 }),
  lastsMinutes: fc.option(fc.integer({ min: 0, max: 5 * 1440 }), { nil: null }),
})
type Case = typeof aCase extends fc.Arbitrary<infer C> ? C : never

function laidOut({ startMs, leadMinutes, lookMinutes, lastsMinutes, code }: Case) {
  const fromMs = startMs + leadMinutes * MINUTE
  const frequency = readFrequencyCode(code)
  const endAt = lastsMinutes === null ? null : iso(startMs + lastsMinutes * MINUTE)
  const order = {
    frequency,
    priority: 'routine' as const,
    startAt: iso(startMs),
    endAt,
    prn: null,
    medicines: [],
  }
  const life: OrderLife = {
    orderId: 'o',
    terms: [{ from: iso(startMs), order }],
    holds: [],
    discontinued: null,
  }
  return { life, order, from: iso(fromMs), to: iso(fromMs + lookMinutes * MINUTE), endAt }
}

/** The slow, plain way: every day of the calendar, every time of the row, set on the clock by Temporal. */
function byCalendar(code: string, zone: string, fromMs: number, toMs: number): string[] {
  const { tables, inUse, thenLookIn } = STANDARD_TIMES.defaults
  const rows = [inUse, ...thenLookIn].flatMap((name) => tables.filter((table) => table.name === name))
  const times = rows.flatMap((table) => table.rows).find((row) => row.code === code)?.times ?? []
  const found = new Set<number>()
  let day = Temporal.Instant.fromEpochMilliseconds(fromMs - 2 * DAY)
    .toZonedDateTimeISO(zone)
    .toPlainDate()
  const last = Temporal.Instant.fromEpochMilliseconds(toMs + 2 * DAY)
    .toZonedDateTimeISO(zone)
    .toPlainDate()
  for (; Temporal.PlainDate.compare(day, last) <= 0; day = day.add({ days: 1 })) {
    for (const time of times)
      found.add(day.toZonedDateTime({ timeZone: zone, plainTime: time }).epochMilliseconds)
  }
  return [...found]
    .filter((ms) => ms >= fromMs && ms < toMs)
    .sort((a, b) => a - b)
    .map(iso)
}

describe('doses at standard times', () => {
  it('are those of a calendar walked day by day with temporal-polyfill', () => {
    fc.assert(
      fc.property(aCase, (given) => {
        const { life, from, to, endAt } = laidOut(given)
        const fromMs = Math.max(Date.parse(from), given.startMs)
        const toMs = Math.min(Date.parse(to), endAt === null ? Infinity : Date.parse(endAt))
        const expected = fromMs < toMs ? byCalendar(given.code, given.zone, fromMs, toMs) : []
        const due = dosesDue(life, rulesIn(given.zone, 'next-standard-time'), from, to)
        expect(due.doses.map(({ doseAt }) => doseAt)).toEqual(expected)
      }),
      { seed: SEED, numRuns: 400 },
    )
  })
  it('come in order, each once, inside the stretch asked for and the life of the order', () => {
    fc.assert(
      fc.property(aCase, (given) => {
        const { life, from, to, endAt } = laidOut(given)
        const { doses } = dosesDue(life, rulesIn(given.zone, 'now-then-half-interval'), from, to)
        const instants = doses.map(({ doseAt }) => doseAt)
        expect(instants).toEqual([...new Set(instants)].sort())
        for (const { doseAt, window, key } of doses) {
          expect(doseAt >= from && doseAt < to && doseAt >= iso(given.startMs)).toBe(true)
          expect(endAt === null || doseAt < endAt).toBe(true)
          expect(window.earliest <= doseAt && doseAt <= window.onTimeUntil).toBe(true)
          expect(window.latest === null || window.latest > window.onTimeUntil).toBe(true)
          expect(key).toBe(`o@${doseAt}`)
        }
      }),
      { seed: SEED, numRuns: 400 },
    )
  })
  it('are the same however the time is cut into stretches', () => {
    fc.assert(
      fc.property(aCase, fc.double({ min: 0, max: 1, noNaN: true }), (given, share) => {
        const { life, from, to } = laidOut(given)
        const rules = rulesIn(given.zone, 'now-then-half-interval')
        const span = Date.parse(to) - Date.parse(from)
        const middle = iso(Date.parse(from) + Math.floor(span * share))
        const whole = dosesDue(life, rules, from, to).doses
        const halves = [
          ...dosesDue(life, rules, from, middle).doses,
          ...dosesDue(life, rules, middle, to).doses,
        ]
        expect(halves).toEqual(whole)
      }),
      { seed: SEED, numRuns: 200 },
    )
  })
  it('are as many on every day of the calendar as the code says, changes of clock or not', () => {
    const aDay = fc.record({
      zone: fc.constantFrom(...ZONES),
      code: fc.constantFrom(...TIMES_OF_DAY),
      day: fc.integer({ min: Date.UTC(2024, 0, 2) / DAY, max: Date.UTC(2028, 0, 1) / DAY }),
    })
    const perDay: Record<string, number> = { QD: 1, BID: 2, TID: 3, QID: 4, Q4H: 6, Q6H: 4, Q8H: 3, Q12H: 2 }
    fc.assert(
      fc.property(aDay, ({ zone, code, day }) => {
        const { place } = zoneOf(zone)
        const [from, to] = [day, day + 1].map((each) => place({ day: each, minute: 0 }).ms)
        const { life } = laidOut({
          zone,
          code,
          startMs: Date.UTC(2023, 11, 1),
          leadMinutes: 0,
          lookMinutes: 1,
          lastsMinutes: null,
        })
        const due = dosesDue(life, rulesIn(zone, 'next-standard-time'), iso(from ?? 0), iso(to ?? 0))
        // No row of the tables has a time in an hour that these zones skip or repeat but 00:00 and 01:00 to 03:00,
        // and a skipped or repeated time is still one dose: the count holds on every day.
        expect(due.doses).toHaveLength(perDay[code] ?? Number.NaN)
      }),
      { seed: SEED, numRuns: 600 },
    )
  })
})

describe('doses counted from a start', () => {
  it('lie the same real minutes apart in every zone, through every change of clock', () => {
    const aRun = fc.record({
      zone: fc.constantFrom(...ZONES),
      everyMinutes: fc.constantFrom(...FROM_START),
      startMs: aMinute,
      leadMinutes: fc.integer({ min: 0, max: 200 * 1440 }),
    })
    fc.assert(
      fc.property(aRun, ({ zone, everyMinutes, startMs, leadMinutes }) => {
        const frequency = { code: `Q${everyMinutes}M`, everyMinutes, standardTimes: false }
        const order = {
          frequency,
          priority: 'routine' as const,
          startAt: iso(startMs),
          endAt: null,
          prn: null,
          medicines: [],
        }
        const life = { orderId: 'o', terms: [{ from: iso(startMs), order }], holds: [], discontinued: null }
        const fromMs = startMs + leadMinutes * MINUTE
        const expected: string[] = []
        let at = Temporal.Instant.fromEpochMilliseconds(startMs)
        while (at.epochMilliseconds < fromMs + DAY) {
          if (at.epochMilliseconds >= fromMs) expected.push(iso(at.epochMilliseconds))
          at = at.add({ minutes: everyMinutes })
        }
        const due = dosesDue(life, rulesIn(zone, 'now-then-half-interval'), iso(fromMs), iso(fromMs + DAY))
        expect(due.doses.map(({ doseAt }) => doseAt)).toEqual(expected)
      }),
      { seed: SEED, numRuns: 60 },
    )
  })
})

describe('holds', () => {
  it('take out exactly the doses inside them, in whatever order they are listed', () => {
    const aHold = fc.tuple(
      fc.integer({ min: -600, max: 5000 }),
      fc.option(fc.integer({ min: 1, max: 900 }), { nil: null }),
    )
    fc.assert(
      fc.property(aCase, fc.array(aHold, { maxLength: 4 }), (given, holds) => {
        const { life, from, to } = laidOut({ ...given, leadMinutes: Math.max(1, given.leadMinutes) })
        const rules = rulesIn(given.zone, 'next-standard-time')
        const spans = holds.map(([after, lasts]) => {
          const fromMs = Date.parse(from) + after * MINUTE
          return { from: iso(fromMs), to: lasts === null ? null : iso(fromMs + lasts * MINUTE) }
        })
        const isHeld = (at: string) =>
          spans.some((hold) => hold.from <= at && (hold.to === null || at < hold.to))
        const free = dosesDue(life, rules, from, to).doses.filter(({ doseAt }) => !isHeld(doseAt))
        const keysWith = (listed: typeof spans) =>
          dosesDue({ ...life, holds: listed }, rules, from, to).doses.map(({ key }) => key)
        expect(keysWith(spans)).toEqual(free.map(({ key }) => key))
        expect(keysWith([...spans].reverse())).toEqual(keysWith(spans))
      }),
      { seed: SEED, numRuns: 200 },
    )
  })
})

describe('many orders', () => {
  it('come out alike in whatever order they are given', () => {
    const lives = fc.array(aCase, { minLength: 2, maxLength: 6 })
    fc.assert(
      fc.property(lives, fc.integer({ min: 0, max: 100 }), (cases, turn) => {
        const start = iso(Date.UTC(2026, 2, 7))
        const orders = cases.map((each, at) => ({
          ...laidOut({ ...each, startMs: Date.parse(start) - at * 7 * MINUTE, lastsMinutes: null }).life,
          orderId: `o${at}`,
        }))
        const by = turn % orders.length
        const turned = [...orders.slice(by), ...orders.slice(0, by)].reverse()
        const rules = rulesIn('America/New_York', 'now-then-half-interval')
        const to = iso(Date.UTC(2026, 2, 9))
        const all = allDosesDue(orders, rules, start, to).doses
        expect(all.length).toBeGreaterThan(0)
        expect(allDosesDue(turned, rules, start, to).doses).toEqual(all)
      }),
      { seed: SEED, numRuns: 60 },
    )
  })
})
