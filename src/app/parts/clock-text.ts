import { Temporal } from 'temporal-polyfill'

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

/**
 * The instant that a wall clock showed. `date` is YYYY-MM-DD, `time` HH:MM.
 * @throws RangeError for a date that does not exist or a zone that is not known
 */
export function instantOf(date: string, time: string, timeZone: string): Meant {
  const wall = Temporal.PlainDateTime.from(`${date}T${time}`)
  const [first, second] = (['earlier', 'later'] as const).map((disambiguation) =>
    wall.toZonedDateTime(timeZone, { disambiguation }),
  )
  if (!first || !second) return { kind: 'none' }
  const at = (zoned: Temporal.ZonedDateTime) => new Date(zoned.epochMilliseconds).toISOString()
  if (first.epochMilliseconds === second.epochMilliseconds) return { kind: 'one', at: at(first) }
  if (!first.toPlainDateTime().equals(wall)) return { kind: 'none' }
  return { kind: 'two', first: at(first), second: at(second) }
}

/** Date and time of day that a clock in the zone shows at an instant: `2026-11-25`, `04:12`. */
export function wallOf(instant: string, timeZone: string): { readonly date: string; readonly time: string } {
  const zoned = Temporal.Instant.from(instant).toZonedDateTimeISO(timeZone)
  return { date: zoned.toPlainDate().toString(), time: zoned.toPlainTime().toString().slice(0, 5) }
}
