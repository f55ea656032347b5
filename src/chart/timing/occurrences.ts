import { isAwake, type Repeat } from './repeat.ts'
import { DAY_MS, type Placed, type WallTime, type Zone } from './zone.ts'

const MINUTE_MS = 60_000

/** An instant at which a repeating order falls due, and what a change of clock did to it. */
export type Occurrence = Placed & {
  /** Times of day that the clock never showed and that were moved onto this instant, where another dose stands. */
  readonly movedHere: readonly WallTime[]
}

type Clock = Extract<Repeat, { kind: 'clock' }>
type Interval = Extract<Repeat, { kind: 'interval' }>

/**
 * The instants of a repeating order from `fromMs` up to, not including, `toMs`; in order, each once, none before
 * the anchor. Two times of day that a change of clock sets on one instant are one dose, which names the time that
 * was moved onto it.
 */
export function occurrences(
  repeat: Clock | Interval,
  anchorMs: number,
  fromMs: number,
  toMs: number,
  zone: Zone,
): Occurrence[] {
  const first = Math.max(anchorMs, fromMs)
  if (!(first < toMs)) return []
  return repeat.kind === 'clock'
    ? byClock(repeat, anchorMs, first, toMs, zone)
    : byInterval(repeat, anchorMs, first, toMs, zone)
}

function byClock(repeat: Clock, anchorMs: number, firstMs: number, toMs: number, zone: Zone): Occurrence[] {
  const anchor = zone.wallAt(anchorMs)
  const minutes = [...(repeat.minutes ?? [anchor.minute])].sort((a, b) => a - b)
  const origin = originDay(minutes, anchorMs, repeat, zone)
  const byInstant = new Map<number, AtWall>()
  // A change of clock moves a time by a day at most (the Pacific islands that crossed the date line).
  const lastDay = zone.wallAt(toMs).day + 1
  for (let day = nextDay(zone.wallAt(firstMs).day - 1, origin, repeat.everyDays); day <= lastDay; ) {
    for (const minute of minutes) {
      const wall = { day, minute }
      const here = { ...zone.place(wall), wall, movedHere: [] }
      if (here.ms < firstMs || here.ms >= toMs) continue
      const there = byInstant.get(here.ms)
      byInstant.set(here.ms, there ? fallTogether(there, here) : here)
    }
    day += repeat.everyDays
  }
  return [...byInstant.values()].sort((a, b) => a.ms - b.ms)
}

/** An occurrence with the time of day that it was ordered for. */
type AtWall = Occurrence & { readonly wall: WallTime }

/** The time that the clock does show stays; the one that it skips is named beside it. */
function fallTogether(there: AtWall, here: AtWall): AtWall {
  const [stays, moved] = there.how === 'skipped' ? [here, there] : [there, here]
  return { ...stays, movedHere: [...there.movedHere, moved.wall] }
}

/** The day from which every n-th day is counted: the first that still has a time at or after the anchor. */
function originDay(minutes: readonly number[], anchorMs: number, repeat: Clock, zone: Zone): number {
  const { day } = zone.wallAt(anchorMs)
  if (repeat.minutes === null) return day
  return minutes.some((minute) => zone.place({ day, minute }).ms >= anchorMs) ? day : day + 1
}

function nextDay(notBefore: number, origin: number, everyDays: number): number {
  if (notBefore <= origin) return origin
  return origin + Math.ceil((notBefore - origin) / everyDays) * everyDays
}

function byInterval(
  repeat: Interval,
  anchorMs: number,
  firstMs: number,
  toMs: number,
  zone: Zone,
): Occurrence[] {
  const stepMs = repeat.everyMinutes * MINUTE_MS
  const found: Occurrence[] = []
  for (let ms = anchorMs + Math.ceil((firstMs - anchorMs) / stepMs) * stepMs; ms < toMs; ms += stepMs) {
    if (!repeat.awake || isAwake(zone.wallAt(ms).minute, repeat.awake))
      found.push({ ms, how: 'plain', shiftedMinutes: 0, movedHere: [] })
  }
  return found
}

/** How far before and after a stretch one must look to see the neighbors of every dose in it. */
export function reachMs(repeat: Clock | Interval): number {
  // A day on which the clock goes back is longer, and a skipped time moves on: by three hours at the very most.
  if (repeat.kind === 'clock') return repeat.everyDays * DAY_MS + 180 * MINUTE_MS
  return repeat.everyMinutes * MINUTE_MS + (repeat.awake ? DAY_MS : 0)
}

/** The shortest time between two doses, by the clock [min]. */
export function shortestGapMinutes(repeat: Clock | Interval): number {
  if (repeat.kind === 'interval') return repeat.everyMinutes
  const minutes = [...(repeat.minutes ?? [0])].sort((a, b) => a - b)
  const [earliest = 0] = minutes
  const next = [...minutes.slice(1), earliest + repeat.everyDays * 1440]
  return Math.min(...minutes.map((minute, at) => (next[at] ?? minute) - minute))
}
