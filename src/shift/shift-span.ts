import type { Site } from '../chart/documents/site.ts'
import { zoneOf } from '../chart/timing/zone.ts'

/** A shift of the department: its name for plans and pins, and its beginning and end. */
export type ShiftSpan = { readonly shiftId: string; readonly from: string; readonly to: string }

/** The department's shift that an instant falls into, by its own hours and clock. */
export function shiftSpanAt(at: string, site: Pick<Site, 'timeZone' | 'shifts'>): ShiftSpan {
  const zone = zoneOf(site.timeZone)
  const atMs = Date.parse(at)
  const today = zone.wallAt(atMs).day
  const starts = [-1, 0, 1]
    .flatMap((offset) =>
      [site.shifts.dayFrom, site.shifts.nightFrom].map(
        (clock) => zone.place({ day: today + offset, minute: minuteOf(clock) }).ms,
      ),
    )
    .sort((a, b) => a - b)
  const present = starts.findLastIndex((start) => start <= atMs)
  const from = new Date(starts[present] ?? atMs).toISOString()
  return { shiftId: `shift-${from}`, from, to: new Date(starts[present + 1] ?? atMs).toISOString() }
}

function minuteOf(clock: string): number {
  const [hours = 0, minutes = 0] = clock.split(':').map(Number)
  return hours * 60 + minutes
}

/** Whole minutes from the beginning of a shift to an instant; `round` says which way a part of a minute goes. */
export function minuteIn(
  span: ShiftSpan,
  instant: string,
  round: (minutes: number) => number = Math.round,
): number {
  return round((Date.parse(instant) - Date.parse(span.from)) / 60_000)
}

/** The instant of a minute of a shift. */
export function instantIn(span: ShiftSpan, minute: number): string {
  return new Date(Date.parse(span.from) + minute * 60_000).toISOString()
}
