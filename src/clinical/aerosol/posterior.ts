import type { CupPoint } from './cup-prior.ts'

/** Middle of a cloud of weighed points and its main axes, one standard deviation long. */
export type Cloud = { readonly middle: CupPoint; readonly axes: readonly [CupPoint, CupPoint] }

/** A point, its share of the whole, and how that share divides over the third unknown. */
export type WeighedPoint = {
  readonly point: CupPoint
  readonly weight: number
  readonly parts: readonly number[]
}

const REACH = 4
const PER_SIDE = 25
/** Axes are drawn out a little, so that a cloud found too narrow in one round can grow in the next. */
const GROW = 1.15
const STEP = (2 * GROW * REACH) / (PER_SIDE - 1)
/** The grid is laid askew to the axes, so that its points fall on many values of each unknown and not on a few. */
const TURN = { cos: Math.cos(0.5), sin: Math.sin(0.5) }

/**
 * Weighs a grid of points laid over a cloud, four standard deviations to each side.
 * @param logAt logarithms of the weight of a point, one for each value of the third unknown; null for no weight
 */
export function refine(cloud: Cloud, logAt: (point: CupPoint) => readonly number[] | null): WeighedPoint[] {
  const found: { point: CupPoint; logs: readonly number[] }[] = []
  let best = -Infinity
  for (let i = 0; i < PER_SIDE; i++) {
    for (let j = 0; j < PER_SIDE; j++) {
      const [a, b] = [i * STEP - GROW * REACH, j * STEP - GROW * REACH]
      const point = along(cloud, TURN.cos * a - TURN.sin * b, TURN.sin * a + TURN.cos * b)
      const logs = logAt(point)
      if (!logs) continue
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
  // From the determinant, not half - root: that difference loses the short axis of a thin cloud.
  const [long, short] = [
    Math.sqrt(half + root),
    Math.sqrt(Math.max(aa * bb - ab * ab, 1e-18) / (half + root)),
  ]
  return {
    middle,
    axes: [
      [long * Math.cos(angle), long * Math.sin(angle)],
      [-short * Math.sin(angle), short * Math.cos(angle)],
    ],
  }
}

const DIRECTIONS = 8
const BAND = 0.15

/**
 * One point of the cloud for each of eight directions, so far out that one in twenty lies beyond: the mean of those
 * points near that line. They follow a cloud that is bent or one-sided, which an ellipse would leave.
 */
export function rimOf(points: readonly WeighedPoint[], { middle, axes }: Cloud): CupPoint[] {
  const placed = points.map(({ point, weight }) => ({
    point,
    weight,
    at: axes.map(([x, y]) => ((point[0] - middle[0]) * x + (point[1] - middle[1]) * y) / (x * x + y * y)),
  }))
  return Array.from({ length: DIRECTIONS }, (_, i) => {
    const angle = (2 * Math.PI * i) / DIRECTIONS
    const [cos, sin] = [Math.cos(angle), Math.sin(angle)]
    const out = placed.map(({ at: [a = 0, b = 0] }) => a * cos + b * sin)
    const line = quantile(sorted(placed.map(({ weight }, n) => [out[n] ?? 0, weight] as const)), 0.95)
    const near = placed.map(({ weight }, n) => weight * Math.exp(-((((out[n] ?? 0) - line) / BAND) ** 2) / 2))
    const total = near.reduce((sum, weight) => sum + weight, 0)
    const mean = (of: 0 | 1) =>
      placed.reduce((sum, { point }, n) => sum + point[of] * (near[n] ?? 0), 0) / total
    return [mean(0), mean(1)]
  })
}

type Weighed = readonly [value: number, weight: number]

export function sorted(values: readonly Weighed[]): Weighed[] {
  return [...values].sort((a, b) => a[0] - b[0])
}

/** The value below which this share of the weight lies; values sorted, joined by straight lines. */
export function quantile(values: readonly Weighed[], share: number): number {
  const total = values.reduce((sum, [, weight]) => sum + weight, 0)
  let below = 0
  let last: readonly [value: number, middle: number] | undefined
  for (const [value, weight] of values) {
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
