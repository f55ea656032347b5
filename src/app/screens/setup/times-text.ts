import { clockTime } from '../../parts/clock-text.ts'

/** Times of day as typed in one line: `0700, 13:00 19.00`. What is no time stays as typed, for the check to name. */
export function timesOf(text: string): string[] {
  return text
    .split(/[\s,;]+/)
    .filter((word) => word !== '')
    .map((word) => clockTime(word) ?? word)
}

/** One line of text an entry; empty lines are none. */
export function linesOf(text: string): string[] {
  return text
    .split('\n')
    .map((line) => line.trim())
    .filter((line) => line !== '')
}
