import { describe, expect, it } from 'vitest'
import { holds, PREFIXES, rangeOf } from './date-range.ts'

const ZONE = 'America/Chicago'
const HOUR_MS = 3_600_000
const range = (text: string) => {
  const found = rangeOf(text, ZONE)
  if (!found) throw new Error(`no range ${text}`)
  return [new Date(found.fromMs).toISOString(), new Date(found.toMs).toISOString()]
}

describe('the stretch of time that a date means', () => {
  it.each([
    ['2026', '2026-01-01T06:00:00.000Z', '2027-01-01T06:00:00.000Z'],
    ['2026-03', '2026-03-01T06:00:00.000Z', '2026-04-01T05:00:00.000Z'],
    ['2026-03-10', '2026-03-10T05:00:00.000Z', '2026-03-11T05:00:00.000Z'],
    ['2026-03-10T07:00-05:00', '2026-03-10T12:00:00.000Z', '2026-03-10T12:01:00.000Z'],
    ['2026-03-10T07:00:30-05:00', '2026-03-10T12:00:30.000Z', '2026-03-10T12:00:31.000Z'],
    ['2026-03-10T12:00:30.250Z', '2026-03-10T12:00:30.250Z', '2026-03-10T12:00:30.251Z'],
  ])('%s', (text, from, to) => {
    expect(range(text)).toEqual([from, to])
  })

  it('has 23 and 25 hours on the days on which the clock is changed (8 March and 1 November 2026)', () => {
    for (const [day, hours] of [
      ['2026-03-08', 23],
      ['2026-11-01', 25],
      ['2026-06-01', 24],
    ] as const) {
      const found = rangeOf(day, ZONE)
      expect(((found?.toMs ?? 0) - (found?.fromMs ?? 0)) / HOUR_MS).toBe(hours)
    }
  })

  it.each(['2026-02-30', '2026-13', '26', 'yesterday', '2026-03-10T07:00', '2026-03-10T25:00Z', ''])(
    'is none: %s',
    (text) => {
      expect(rangeOf(text, ZONE)).toBeNull()
    },
  )
})

/** HL7 FHIR R4 4.0.1, search, prefixes: asked is 14 March 2013, as in the examples there. */
describe('prefixes', () => {
  const day = (from: number, to: number) => ({ fromMs: from, toMs: to })
  const asked = day(10, 20)
  const CASES = [
    ['before', day(1, 5), ['ne', 'lt', 'le', 'eb']],
    ['up to it', day(1, 10), ['ne', 'lt', 'le', 'eb']],
    ['into it', day(5, 15), ['ne', 'lt', 'le']],
    ['within it', day(12, 18), ['eq', 'ge', 'le']],
    ['it', day(10, 20), ['eq', 'ge', 'le']],
    ['out of it', day(15, 25), ['ne', 'gt', 'ge']],
    ['from its end', day(20, 30), ['ne', 'gt', 'ge', 'sa']],
    ['after', day(25, 30), ['ne', 'gt', 'ge', 'sa']],
    ['around it', day(5, 25), ['ne', 'gt', 'lt', 'ge', 'le']],
    ['without end', day(15, Infinity), ['ne', 'gt', 'ge']],
  ] as const
  it.each(CASES)('%s', (_what, resource, expected) => {
    expect(PREFIXES.filter((prefix) => holds(prefix, resource, asked)).sort()).toEqual([...expected].sort())
  })
})
