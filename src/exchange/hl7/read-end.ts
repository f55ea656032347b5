import type { Frequency } from '../../chart/facts/orders.ts'
import { wallMinutes, zoneOf } from '../../chart/timing/zone.ts'

const MINUTE_MS = 60_000

/** What an order says of its end: as an instant, as how long it goes on, as how often it is given. */
type SaidEnd = {
  readonly startAt: string | null
  readonly endAt: string | null
  readonly lastsMinutes: number | null
  readonly count: number | null
}

/** The end, or why it cannot be told exactly. */
type EndReading = { readonly endAt: string | null } | { readonly why: string }

/**
 * The end of an order as one instant, after which nothing is given. A length counts from the stated start; a count of
 * an interval that does not wait for standard times ends one interval after the last. What cannot be turned into an end
 * exactly is not turned into one.
 */
export function endOf(said: SaidEnd, frequency: Frequency | null, timeZone: string): EndReading {
  const { startAt, endAt, lastsMinutes, count } = said
  const ends = [endAt]
  if (lastsMinutes !== null) {
    if (startAt === null) return { why: 'it says how long the order goes on, and not from when' }
    const end = after(startAt, lastsMinutes)
    if (end === null) return { why: `the order goes on for ${lastsMinutes} minutes, which reaches no date` }
    if (lastsMinutes >= 1440 && !sameClock(startAt, end, timeZone)) {
      return {
        why: 'the clock is changed while the order goes on, so its days are not of one length; state the end',
      }
    }
    ends.push(end)
  }
  if (count !== null && !isOneDose(frequency, count)) {
    const minutes = plainInterval(frequency)
    const end = minutes === null || startAt === null ? null : after(startAt, count * minutes)
    if (end === null) return { why: `how often in all (${count}) does not tell an end here; state the end` }
    ends.push(end)
  }
  const [first = null, ...others] = ends.filter((end) => end !== null)
  if (others.some((end) => end !== first))
    return { why: `it says several ends: ${[first, ...others].join(', ')}` }
  return { endAt: first }
}

function after(startAt: string, minutes: number): string | null {
  const ms = Date.parse(startAt) + minutes * MINUTE_MS
  return Math.abs(ms) < 8.64e15 ? new Date(ms).toISOString() : null
}

function sameClock(startAt: string, endAt: string, timeZone: string): boolean {
  const zone = zoneOf(timeZone)
  const shown = (at: string) => wallMinutes(zone.wallAt(Date.parse(at)))
  const elapsed = Date.parse(endAt) - Date.parse(startAt)
  return (shown(endAt) - shown(startAt)) * MINUTE_MS === elapsed
}

function isOneDose(frequency: Frequency | null, count: number): boolean {
  return count === 1 && (frequency?.once === true || frequency?.stat === true)
}

/** The interval of a frequency that counts from its start alone. */
function plainInterval(frequency: Frequency | null): number | null {
  if (!frequency || frequency.standardTimes || frequency.statedTimes || /PRN/i.test(frequency.code))
    return null
  return frequency.everyMinutes ?? null
}
