/** Instants in UTC to the millisecond sort as text. */

/** The last of some instants. */
export function latestOf(first: string, ...others: readonly string[]): string {
  const sorted = [first, ...others].sort()
  return sorted.at(-1) ?? first
}

/** The first of some instants. */
export function earliestOf(first: string, ...others: readonly string[]): string {
  const [soonest] = [first, ...others].sort()
  return soonest ?? first
}

/** The instant so many minutes after another, or before it when they are negative. */
export function minutesAfter(instant: string, minutes: number): string {
  return new Date(Date.parse(instant) + minutes * 60_000).toISOString()
}
