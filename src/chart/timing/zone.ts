import { BadInput } from '../../clinical/worked.ts'

const MINUTE_MS = 60_000
export const DAY_MS = 86_400_000

/** A day as days since 1 January 1970, and the minute of that day, as the clock on the wall shows them. */
export type WallTime = { readonly day: number; readonly minute: number }

/** Minutes since 1 January 1970 as the clock on the wall counts them: a difference of two is what it shows to have passed. */
export function wallMinutes({ day, minute }: WallTime): number {
  return day * 1440 + minute
}

/**
 * A time of day set on a real line of time. `skipped`: the clock never showed it and `shiftedMinutes` were added.
 * `repeated`: the clock showed it twice and this is the first.
 */
export type Placed = {
  readonly ms: number
  readonly how: 'plain' | 'skipped' | 'repeated'
  readonly shiftedMinutes: number
}

/** Wall-clock arithmetic of one time zone. */
export type Zone = {
  readonly name: string
  readonly wallAt: (ms: number) => WallTime
  readonly place: (wall: WallTime) => Placed
}

const zones = new Map<string, Zone>()

/**
 * The zone of that IANA name, from the rules that the platform's `Intl` knows. Zones are kept: making the
 * formatter is the slow part.
 *
 * Nights on which the clock is changed, as `place` settles them (the `compatible` way of ECMAScript's Temporal and
 * of RFC 5545): a time that the clock skips falls as many minutes after the change as it lies after the last
 * minute before it, so real time since the dose before stays what the clock promised; a time that comes twice
 * is the first of the two, so nobody waits longer than ordered.
 * @throws BadInput when the platform does not know the name
 */
export function zoneOf(timeZone: string): Zone {
  const kept = zones.get(timeZone)
  if (kept) return kept
  if (!isTimeZone(timeZone)) throw new BadInput('timeZone', timeZone, 'an IANA time zone')
  const zone = makeZone(timeZone)
  zones.set(timeZone, zone)
  return zone
}

/** Whether the platform knows an IANA zone of that name. A bare offset is not a zone: it has no summers. */
export function isTimeZone(name: string): boolean {
  if (!/^[A-Za-z][\w+\-/]*$/.test(name)) return false
  try {
    return new Intl.DateTimeFormat('en-US', { timeZone: name }) !== null
  } catch {
    return false
  }
}

function makeZone(name: string): Zone {
  const offsetAt = keptOffsets(offsetReader(name))
  return {
    name,
    wallAt: (ms) => {
      const shown = ms + offsetAt(ms)
      const day = Math.floor(shown / DAY_MS)
      return { day, minute: Math.floor((shown - day * DAY_MS) / MINUTE_MS) }
    },
    place: ({ day, minute }) => place(day * DAY_MS + minute * MINUTE_MS, offsetAt),
  }
}

/** `shownMs` is the wall clock read as if it were UTC; the true instant lies within a day of it. */
function place(shownMs: number, offsetAt: (ms: number) => number): Placed {
  const before = offsetAt(shownMs - DAY_MS)
  const after = offsetAt(shownMs + DAY_MS)
  const early = shownMs - before
  const late = shownMs - after
  const earlyFits = offsetAt(early) === before
  const lateFits = before !== after && offsetAt(late) === after
  if (earlyFits) return { ms: early, how: lateFits ? 'repeated' : 'plain', shiftedMinutes: 0 }
  if (lateFits) return { ms: late, how: 'plain', shiftedMinutes: 0 }
  return { ms: early, how: 'skipped', shiftedMinutes: (offsetAt(early) - before) / MINUTE_MS }
}

/** Milliseconds that the zone's clock is ahead of UTC at an instant, read from the platform each time. */
function offsetReader(timeZone: string): (ms: number) => number {
  const format = new Intl.DateTimeFormat('en-US', {
    timeZone,
    calendar: 'gregory',
    numberingSystem: 'latn',
    hourCycle: 'h23',
    year: 'numeric',
    month: '2-digit',
    day: '2-digit',
    hour: '2-digit',
    minute: '2-digit',
    second: '2-digit',
  })
  return (ms) => {
    const wholeSeconds = Math.floor(ms / 1000) * 1000
    const [month = 0, day = 0, year = 0, hour = 0, minute = 0, second = 0] = (
      format.format(wholeSeconds).match(/\d+/g) ?? []
    ).map(Number)
    return Date.UTC(year, month - 1, day, hour, minute, second) - wholeSeconds
  }
}

const KEPT_DAYS = 4000

/** One UTC day's offsets: `before` up to `changeMs`, `after` from it on. */
type DayOffsets = { readonly before: number; readonly after: number; readonly changeMs: number }

/**
 * Asks the platform twice for each day, and on a day with a change some twenty times more to find its second; all
 * that is asked afterwards is answered from memory. No zone changes its clock twice within one UTC day.
 */
function keptOffsets(read: (ms: number) => number): (ms: number) => number {
  const byDay = new Map<number, DayOffsets>()
  const offsetsOf = (day: number): DayOffsets => {
    const kept = byDay.get(day)
    if (kept) return kept
    if (byDay.size >= KEPT_DAYS) byDay.clear()
    const offsets = dayOffsets(day * DAY_MS, read)
    byDay.set(day, offsets)
    return offsets
  }
  return (ms) => {
    const { before, after, changeMs } = offsetsOf(Math.floor(ms / DAY_MS))
    return ms < changeMs ? before : after
  }
}

function dayOffsets(startMs: number, read: (ms: number) => number): DayOffsets {
  const before = read(startMs)
  const after = read(startMs + DAY_MS)
  if (before === after) return { before, after, changeMs: startMs }
  let [low, high] = [startMs / 1000, (startMs + DAY_MS) / 1000]
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2)
    if (read(middle * 1000) === before) low = middle
    else high = middle
  }
  return { before, after, changeMs: high * 1000 }
}
