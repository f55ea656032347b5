import { instant } from './instant-text.ts'
import { DAY_MS, type WallTime } from './zone.ts'

/** What a clock on the wall shows, in words: `2026-03-29 01:30`. */
export function wallText({ day, minute }: WallTime): string {
  const clock = `${two(Math.floor(minute / 60))}:${two(minute % 60)}`
  return `${instant(day * DAY_MS).slice(0, 10)} ${clock}`
}

function two(part: number): string {
  return part < 10 ? `0${part}` : `${part}`
}
