import { zoneOf } from '../../chart/timing/zone.ts'

/**
 * An HL7 time (YYYYMMDDHHMM[SS[.S…]][±ZZZZ], chapter 2A) as an instant in UTC; null when it cannot be one. An offset is
 * kept to; without one it is the facility's wall clock.
 *
 * A date without a time is the midnight that begins that day: the standard leaves the rest open, and no better moment
 * can be told from the message. On the nights on which the clock is changed, of an hour that comes twice the first is
 * meant, and a time that the clock skips falls as many minutes after the change (`zoneOf`); both with a doubt, in words
 * that go on from the text, for a person to ask about. The text as it came is kept with the message.
 */
export function readTime(
  text: string,
  timeZone: string,
): { readonly at: string; readonly doubt: string | null } | null {
  const match = /^(\d{4})(\d{2})(\d{2})(?:(\d{2})(\d{2})(?:(\d{2})(?:\.(\d{1,4}))?)?)?([+-]\d{4})?$/.exec(
    text.trim(),
  )
  if (!match) return null
  const [, year, month, day, hour = '00', minute = '00', second = '00', part = '0', offset] = match
  const date = realDate(`${year}-${month}-${day}`)
  if (date === null || Number(hour) > 23 || Number(minute) > 59 || Number(second) > 59) return null
  const ms = Number(second) * 1000 + Math.round(Number(`0.${part}`) * 1000)
  const dayMs = Date.parse(`${date}T00:00:00Z`)
  const minutes = Number(hour) * 60 + Number(minute)
  if (offset !== undefined) {
    const ahead =
      (Number(offset.slice(1, 3)) * 60 + Number(offset.slice(3))) * (offset.startsWith('-') ? -1 : 1)
    if (Math.abs(ahead) > 14 * 60) return null
    return { at: new Date(dayMs + (minutes - ahead) * 60_000 + ms).toISOString(), doubt: null }
  }
  const placed = zoneOf(timeZone).place({ day: dayMs / 86_400_000, minute: minutes })
  const at = new Date(placed.ms + ms).toISOString()
  if (placed.how === 'plain') return { at, doubt: null }
  const doubt =
    placed.how === 'skipped'
      ? `which does not exist in ${timeZone}, where the clock is put forward over it`
      : `which comes twice in ${timeZone} on that night`
  return { at, doubt }
}

/** An HL7 date (YYYYMMDD, a time after it passed over) as YYYY-MM-DD; null when there is no such day. */
export function readDate(text: string): string | null {
  const match = /^(\d{4})(\d{2})(\d{2})/.exec(text.trim())
  return match ? realDate(`${match[1]}-${match[2]}-${match[3]}`) : null
}

function realDate(date: string): string | null {
  const ms = Date.parse(`${date}T00:00:00Z`)
  return Number.isFinite(ms) && new Date(ms).toISOString().startsWith(date) ? date : null
}

/** An instant as an HL7 time in UTC. */
export function writeTime(instant: string): string {
  return `${instant.slice(0, 19).replace(/[-:T]/g, '')}+0000`
}
