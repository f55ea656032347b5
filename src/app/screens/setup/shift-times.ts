import { instantOf } from '../../parts/clock-text.ts'

export type ShiftTimes =
  | { readonly ok: true; readonly from: string; readonly to: string }
  | { readonly ok: false; readonly what: string }

/**
 * The instants of a shift that begins on a day at one time of day and ends at another, on the next day when that
 * comes earlier. Nothing is guessed on the nights when the clocks change.
 * @param date YYYY-MM-DD
 * @param from HH:MM on the hospital's clocks
 * @param to HH:MM
 */
export function shiftTimes(date: string, from: string, to: string, timeZone: string): ShiftTimes {
  if (!/^\d{4}-\d{2}-\d{2}$/.test(date)) return { ok: false, what: 'The day is missing.' }
  const begins = moment(date, from, timeZone)
  if (!begins.ok) return begins
  const ends = moment(to > from ? date : dayAfter(date), to, timeZone)
  return ends.ok ? { ok: true, from: begins.at, to: ends.at } : ends
}

function moment(date: string, time: string, timeZone: string) {
  const meant = instantOf(date, time, timeZone)
  if (meant.kind === 'one') return { ok: true, at: meant.at } as const
  const why = meant.kind === 'none' ? 'does not exist' : 'comes twice'
  return { ok: false, what: `${time} ${why} on ${date}: the clocks change. Take another time.` } as const
}

function dayAfter(date: string): string {
  return new Date(Date.parse(`${date}T00:00:00.000Z`) + 86_400_000).toISOString().slice(0, 10)
}
