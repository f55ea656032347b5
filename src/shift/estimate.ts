/** A figure reckoned from a department's own visits, held together with what was thought before any were counted. */
export type Estimate = {
  readonly value: number
  /** Scatter about the value, as a share of it. */
  readonly cv: number
  readonly visits: number
  readonly prior: number
}

/** Standard deviation of a normal distribution over its median absolute deviation: 1 / Φ⁻¹(3/4). */
const SD_PER_MAD = 1.4826

/**
 * Median of what was seen, drawn towards the prior as if the prior were `priorVisits` visits more; the scatter is the
 * median absolute deviation, drawn in the same way towards `priorCv`. A few wild values move neither.
 */
export function estimate(
  seen: readonly number[],
  prior: { readonly value: number; readonly cv: number; readonly visits: number },
): Estimate {
  const visits = seen.length
  if (visits === 0) return { value: prior.value, cv: prior.cv, visits, prior: prior.value }
  const middle = median(seen)
  const share = visits / (visits + prior.visits)
  const cv = middle > 0 ? (SD_PER_MAD * median(seen.map((each) => Math.abs(each - middle)))) / middle : 0
  const drawn = (own: number, before: number) => share * own + (1 - share) * before
  return { value: drawn(middle, prior.value), cv: drawn(cv, prior.cv), visits, prior: prior.value }
}

/** The middle value; of an even number the mean of the middle two. @throws RangeError for an empty list */
export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b)
  const half = Math.floor(sorted.length / 2)
  const [low, high] = [sorted[Math.ceil(sorted.length / 2) - 1], sorted[half]]
  if (low === undefined || high === undefined) throw new RangeError('no values to take the middle of')
  return (low + high) / 2
}
