import { describe, expect, it } from 'vitest'
import { clockTime, instantOf, wallOf } from './clock-text.ts'

const ZONE = 'America/New_York'

describe('times of day', () => {
  it.each([
    ['0412', '04:12'],
    ['412', '04:12'],
    ['4:12', '04:12'],
    ['04.12', '04:12'],
    ['2359', '23:59'],
    [' 000 ', '00:00'],
  ])('%j is %s', (raw, time) => {
    expect(clockTime(raw)).toBe(time)
  })

  it.each(['', '4', '41', '2400', '1260', '4:1', 'noon', '12345', '-412'])('%j is not a time', (raw) => {
    expect(clockTime(raw)).toBeNull()
  })
})

// Daylight saving in New York, 2026: clocks go from 02:00 to 03:00 on 8 March and from 02:00 back to 01:00 on
// 1 November (Energy Policy Act of 2005, section 110: second Sunday of March, first Sunday of November).
describe('instants from wall clocks', () => {
  it('adds the offset that was in force', () => {
    expect(instantOf('2026-01-05', '04:12', ZONE)).toEqual({ kind: 'one', at: '2026-01-05T09:12:00.000Z' })
    expect(instantOf('2026-07-05', '04:12', ZONE)).toEqual({ kind: 'one', at: '2026-07-05T08:12:00.000Z' })
  })

  it('finds no instant in the hour that is skipped', () => {
    expect(instantOf('2026-03-08', '02:30', ZONE)).toEqual({ kind: 'none' })
    expect(instantOf('2026-03-08', '03:00', ZONE)).toEqual({ kind: 'one', at: '2026-03-08T07:00:00.000Z' })
  })

  it('finds both in the hour that comes twice', () => {
    expect(instantOf('2026-11-01', '01:30', ZONE)).toEqual({
      kind: 'two',
      first: '2026-11-01T05:30:00.000Z',
      second: '2026-11-01T06:30:00.000Z',
    })
  })

  it('reads a wall clock back', () => {
    expect(wallOf('2026-11-01T06:30:00.000Z', ZONE)).toEqual({ date: '2026-11-01', time: '01:30' })
  })

  it('refuses a day that does not exist', () => {
    expect(() => instantOf('2026-02-30', '10:00', ZONE)).toThrow(RangeError)
  })
})
