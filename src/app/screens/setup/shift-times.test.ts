import { describe, expect, it } from 'vitest'
import { shiftTimes } from './shift-times.ts'

const ZONE = 'America/Chicago'

describe('a shift', () => {
  it('of the day ends on its day', () => {
    expect(shiftTimes('2026-11-25', '07:00', '19:00', ZONE)).toEqual({
      ok: true,
      from: '2026-11-25T13:00:00.000Z',
      to: '2026-11-26T01:00:00.000Z',
    })
  })

  it('of the night ends on the next, also over the end of a year', () => {
    expect(shiftTimes('2026-12-31', '19:00', '07:00', ZONE)).toEqual({
      ok: true,
      from: '2027-01-01T01:00:00.000Z',
      to: '2027-01-01T13:00:00.000Z',
    })
  })

  // In 2026 the clocks of the United States go forward on March 8 and back on November 1, at 02:00 (15 U.S.C. 260a).
  it('is an hour shorter or longer in the nights when the clocks change', () => {
    const hours = (date: string) => {
      const times = shiftTimes(date, '19:00', '07:00', ZONE)
      if (!times.ok) throw new Error(times.what)
      return (Date.parse(times.to) - Date.parse(times.from)) / 3_600_000
    }
    expect([hours('2026-03-07'), hours('2026-10-31'), hours('2026-11-25')]).toEqual([11, 13, 12])
  })

  it('is not guessed when its time does not exist or comes twice', () => {
    expect(shiftTimes('2026-03-08', '02:30', '11:00', ZONE)).toMatchObject({ ok: false })
    expect(shiftTimes('2026-11-01', '01:30', '11:00', ZONE)).toMatchObject({ ok: false })
    expect(shiftTimes('', '07:00', '19:00', ZONE)).toEqual({ ok: false, what: 'The day is missing.' })
  })
})
