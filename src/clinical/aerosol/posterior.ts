import type { CupPoint } from './cup-prior.ts'

/** Middle of a cloud of weighed points and its main axes, one standard deviation long. */
export type Cloud = { readonly middle: CupPoint; readonly axes: readonly [CupPoint, CupPoint] }

/** A point, its share of the whole, and how that share divides over the third unknown. */
export type WeighedPoint = {
  readonly point: CupPoint
  readonly weight: number
  readonly parts: readonly number[]
}

/** Before any run: two standard normal numbers. */
export const START_CLOUD: Cloud = {
  middle: [0, 0],
  axes: [
    [1, 0],
    [0, 1],
  ],
}

const REACH = 4
const PER_SIDE = 25
/** Axes are drawn out a little, so that a cloud found too narrow in one round can grow in the next. */
const GROW = 1.15

/**
 * Weighs a grid of points laid over a cloud, four standard deviations to each side.
 * @param logAt logarithms of the weight of a point, one for each value of the third unknown
 */
export function refine(cloud: Cloud, logAt: (point: CupPoint) => readonly number[]): WeighedPoint[] {
  const found: { point: CupPoint; logs: readonly number[] }[] = []
  let best = -Infinity
  for (let i = 0; i < PER_SIDE; i++) {
    for (let j = 0; j < PER_SIDE; j++) {
      const [a, b] = [steps(i), steps(j)]
      const point = along(cloud, TURN.cos * a - TURN.sin * b, TURN.sin * a + TURN.cos * b)
      const logs = logAt(point)
      for (const log of logs) if (log > best) best = log
      found.push({ point, logs })
    }
  }
  const weighed = found.map(({ point, logs }) => {
    const parts = logs.map((log) => Math.exp(log - best))
    return { point, parts, weight: parts.reduce((sum, part) => sum + part, 0) }
  })
  const total = weighed.reduce((sum, { weight }) => sum + weight, 0)
  return weighed.map(({ point, weight, parts }) => ({
    point,
    weight: weight / total,
    parts: parts.map((part) => part / total),
  }))
}

/** The grid is laid askew to the axes, so that its points fall on many values of each unknown and not on a few. */
const TURN = { cos: Math.cos(0.5), sin: Math.sin(0.5) }
const STEP = (2 * GROW * REACH) / (PER_SIDE - 1)
const steps = (i: number) => i * STEP - GROW * REACH

function along({ middle, axes }: Cloud, a: number, b: number): CupPoint {
  return [middle[0] + a * axes[0][0] + b * axes[1][0], middle[1] + a * axes[0][1] + b * axes[1][1]]
}

/**
 * Middle and main axes of weighed points, by their means and covariances.
 * @param within the cloud whose grid they came from, while rounds go on: half its step is added, as a cloud much
 * narrower than a step has only one point that counts
 */
export function cloudOf(points: readonly WeighedPoint[], within?: Cloud): Cloud {
  const mean = (f: (point: CupPoint) => number) =>
    points.reduce((sum, { point, weight }) => sum + weight * f(point), 0)
  const middle: CupPoint = [mean(([a]) => a), mean(([, b]) => b)]
  let aa = mean(([a]) => (a - middle[0]) ** 2)
  let bb = mean(([, b]) => (b - middle[1]) ** 2)
  let ab = mean(([a, b]) => (a - middle[0]) * (b - middle[1]))
  for (const [a, b] of within?.axes ?? []) {
    aa += (STEP * a) ** 2 / 4
    bb += (STEP * b) ** 2 / 4
    ab += (STEP * STEP * a * b) / 4
  }
  const half = (aa + bb) / 2
  const root = Math.hypot((aa - bb) / 2, ab)
  const angle = Math.atan2(2 * ab, aa - bb) / 2
  const [long, short] = [Math.sqrt(half + root), Math.sqrt(Math.max(half - root, 1e-8))]
  return {
    middle,
    axes: [
      [long * Math.cos(angle), long * Math.sin(angle)],
      [-short * Math.sin(angle), short * Math.cos(angle)],
    ],
  }
}

/** The value below which this share of the weight lies; values sorted, joined by straight lines. */
export function quantile(
  sorted: readonly (readonly [value: number, weight: number])[],
  share: number,
): number {
  const total = sorted.reduce((sum, [, weight]) => sum + weight, 0)
  let below = 0
  let last: readonly [value: number, middle: number] | undefined
  for (const [value, weight] of sorted) {
    const middle = (below + weight / 2) / total
    if (middle >= share) {
      if (!last || middle === last[1]) return value
      return last[0] + ((share - last[1]) / (middle - last[1])) * (value - last[0])
    }
    below += weight
    last = [value, middle]
  }
  return last?.[0] ?? Number.NaN
}
