import type { Frequency } from '../../chart/facts/orders.ts'

/** Shorter than one treatment takes, so hours were likely meant. Common practice, no source. */
const SHORTEST_MINUTES = 15

/**
 * Why a frequency that was read is still not taken, as a sentence, or null: minutes so few that hours must have been
 * meant (`Q4M` is every 4 minutes), an interval beside the code that says otherwise, or another count of stated times.
 */
export function whyNotTaken(
  known: Frequency | null,
  besides: { readonly everyMinutes: number | null; readonly statedTimes: readonly string[] },
): string | null {
  const {
    code = 'the interval',
    everyMinutes,
    timesPerDay,
    once,
    stat,
    continuous,
  }: Partial<Frequency> = known ?? {}
  const { statedTimes } = besides
  const period = besides.everyMinutes
  const shortest = everyMinutes ?? period ?? SHORTEST_MINUTES
  if (shortest < SHORTEST_MINUTES) {
    return `${code} was read as every ${shortest} minutes, which is less than a treatment takes; say hours as Q<n>H`
  }
  if (period !== null && everyMinutes !== undefined && everyMinutes !== period) {
    return `${code} is every ${everyMinutes} minutes, and the interval beside it is ${period} minutes`
  }
  const isOther = timesPerDay !== undefined || once || stat || continuous
  if (period !== null && isOther)
    return `${code} is no interval, and an interval of ${period} minutes stands beside it`
  const different = new Set(statedTimes).size
  if (different !== statedTimes.length) return `a time of day is stated twice: ${statedTimes.join(', ')}`
  if (different > 0 && timesPerDay !== undefined && timesPerDay !== different) {
    return `${code} is ${timesPerDay} times a day, and ${different} times are stated: ${statedTimes.join(', ')}`
  }
  return null
}
