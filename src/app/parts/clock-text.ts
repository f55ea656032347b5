import { DAY_MS, type WallTime, zoneOf } from '../../chart/timing/zone.ts'

/** Times of day as people write them, and instants as the record keeps them. The facility's zone is an input. */

/**
 * A time of day as typed on a keypad or keyboard: `0412`, `412`, `4:12`, `04.12` are 04:12. Null for what is not
 * a time on a 24 hour clock, so that the entry can say so.
 */
export function clockTime(raw: string): string | null {
  const digits = raw.trim().replace(/^(\d{1,2})[:.](\d{2})$/, '$1$2')
  if (!/^\d{3,4}$/.test(digits)) return null
  const [hours, minutes] = [digits.slice(0, -2), digits.slice(-2)]
  if (Number(hours) > 23 || Number(minutes) > 59) return null
  return `${hours.padStart(2, '0')}:${minutes}`
}

/** What a date and a time of day mean in a zone: one instant, none (a skipped hour), or two (a repeated one). */
export type Meant =
  | { readonly kind: 'one'; readonly at: string }
  | { readonly kind: 'none' }
  | { readonly kind: 'two'; readonly first: string; readonly second: string }

const MINUTE_MS = 60_000

/**
 * The instant that a wall clock showed. `date` is YYYY-MM-DD, `time` HH:MM.
 * @throws RangeError for a date that does not exist
 * @throws BadInput for a zone that is not known
 */
export function instantOf(date: string, time: string, timeZone: string): Meant {
  const zone = zoneOf(timeZone)
  const wall = { day: dayOf(date), minute: Number(time.slice(0, 2)) * 60 + Number(time.slice(3)) }
  const { ms, how } = zone.place(wall)
  if (how === 'skipped') return { kind: 'none' }
  if (how === 'plain') return { kind: 'one', at: instant(ms) }
  // Clocks have gone back by 20 minutes to 2 hours: the second time is the next instant that shows the same.
  let second = ms + MINUTE_MS
  while (!same(zone.wallAt(second), wall)) second += MINUTE_MS
  return { kind: 'two', first: instant(ms), second: instant(second) }
}

/** Date and time of day that a clock in the zone shows at an instant: `2026-11-25`, `04:12`. */
export function wallOf(at: string, timeZone: string): { readonly date: string; readonly time: string } {
  const { day, minute } = zoneOf(timeZone).wallAt(Date.parse(at))
  const two = (number: number) => String(number).padStart(2, '0')
  return {
    date: instant(day * DAY_MS).slice(0, 10),
    time: `${two(Math.floor(minute / 60))}:${two(minute % 60)}`,
  }
}

function dayOf(date: string): number {
  const ms = Date.parse(`${date}T00:00:00.000Z`)
  if (Number.isNaN(ms) || instant(ms).slice(0, 10) !== date) throw new RangeError(`${date} is not a day`)
  return ms / DAY_MS
}

function instant(ms: number): string {
  return new Date(ms).toISOString()
}

function same(one: WallTime, other: WallTime): boolean {
  return one.day === other.day && one.minute === other.minute
}
