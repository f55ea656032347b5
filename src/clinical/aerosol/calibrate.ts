import { BadInput, requireWithin } from '../worked.ts'
import type { CupConditions } from './cup.ts'
import type { Ends } from './cup-kinds.ts'
import { type CupPoint, dropletGPerMinAt, sputterMlAt } from './cup-prior.ts'
import { type Cloud, cloudOf, quantile, refine, START_CLOUD, type WeighedPoint } from './posterior.ts'
import { leftAfter, minutesUntil, type RunTimes, runTimes } from './run-times.ts'
import { logStudentFall, logStudentPeak, STUDENT_90, studentAbove } from './student.ts'

/** One run as charted, of one model of cup. */
export type ChartedRun = {
  readonly conditions: CupConditions
  /** `stopped`: ended by somebody before the first sputter, so that the run would have lasted longer. */
  readonly ended: 'sputter' | 'stopped'
  readonly minutes: number
  /** What the cup then weighed less its empty weight. */
  readonly leftG?: number | undefined
}

/** What a hospital's own runs say about one model of jet cup. Each figure: 5th percentile, median, 95th. */
export type Calibration = {
  readonly runs: number
  readonly dropletGPerMin: Ends
  readonly sputterMl: Ends
  /** From run to run, in the logarithm of the time. */
  readonly scatter: Ends
  /** Middle of what is known, in the terms of cup-prior.ts, and its two main axes, one standard deviation long. */
  readonly middle: CupPoint
  readonly axes: readonly [CupPoint, CupPoint]
  /** Places in the list of runs that lie further from the rest than three times the scatter. */
  readonly oddRuns: readonly number[]
}

/** Scatter of a single weighing around the model [g], cup to cup; a design rule. */
const WEIGHING_G = 0.15
/** Scatter of run times: median 10 %, and 4 to 25 % in nine of ten; a design rule. */
const SCATTER_MEDIAN = 0.1
const SCATTER_SPREAD = 0.557
const SCATTERS = Array.from({ length: 15 }, (_, i) => {
  const z = -2.1 + i * 0.3
  const scatter = SCATTER_MEDIAN * Math.exp(SCATTER_SPREAD * z)
  return { scatter, logPrior: -(z * z) / 2, peak: logStudentPeak(scatter) }
})
/** A run that is predicted to sputter at once has no logarithm: taken as two hundredths of a minute. */
const SHORTEST_MIN = 0.02
const ROUNDS = 3

/**
 * Droplet rate and sputter volume of a model of cup from charted runs: Bayes' rule with the published spread as
 * prior (CALIBRATION). Odd runs weigh little (Student errors), stopped runs say only that it would have lasted
 * longer, and weights left in the cup tell rate and volume apart. No runs give back the published spread.
 * @throws BadInput or OutsideValidity naming the run and field that cannot be used
 */
export function calibrate(runs: readonly ChartedRun[]): Calibration {
  for (const [i, run] of runs.entries()) checkRun(run, `runs[${i}]`)
  const evidence = withTimes(runs)
  let cloud: Cloud = START_CLOUD
  let points: readonly WeighedPoint[] = []
  for (let round = 0; round < ROUNDS; round++) {
    points = refine(cloud, (point) => posteriorAt(point, evidence))
    cloud = cloudOf(points, round < ROUNDS - 1 ? cloud : undefined)
  }
  const scatter = ends(scatterWeights(points))
  return {
    runs: runs.length,
    dropletGPerMin: ends(points.map(({ point, weight }) => [dropletGPerMinAt(point), weight])),
    sputterMl: ends(points.map(({ point, weight }) => [sputterMlAt(point), weight])),
    scatter,
    middle: cloud.middle,
    axes: cloud.axes,
    oddRuns: oddRuns(evidence, cloud.middle, scatter.likely),
  }
}

type Evidence = ChartedRun & { readonly times: RunTimes; readonly logMinutes: number }

function withTimes(runs: readonly ChartedRun[]): Evidence[] {
  const tables = new Map<string, RunTimes>()
  return runs.map((run) => {
    const { fillMl, gas, flowLPerMin, relativeHumidity, roomCel, pressurePa } = run.conditions
    const key = [fillMl, gas.kind, flowLPerMin, relativeHumidity, roomCel, pressurePa].join()
    const times = tables.get(key) ?? runTimes(run.conditions)
    tables.set(key, times)
    return { ...run, times, logMinutes: Math.log(run.minutes) }
  })
}

function checkRun({ conditions, ended, minutes, leftG }: ChartedRun, where: string): void {
  requireWithin(`${where}.conditions.fillMl`, conditions.fillMl, { low: 1, high: 20, unit: 'mL' })
  requireWithin(`${where}.conditions.flowLPerMin`, conditions.flowLPerMin, {
    low: 4,
    high: 12,
    unit: 'L/min',
  })
  requireWithin(`${where}.minutes`, minutes, { low: 0.1, high: 180, unit: 'min' })
  if (leftG !== undefined)
    requireWithin(`${where}.leftG`, leftG, { low: 0, high: conditions.fillMl, unit: 'g' })
  if (ended !== 'sputter' && ended !== 'stopped')
    throw new BadInput(`${where}.ended`, ended, 'sputter, stopped')
}

/** Logarithm of prior × likelihood at a point, for each scatter. */
function posteriorAt(point: CupPoint, evidence: readonly Evidence[]): number[] {
  const rate = dropletGPerMinAt(point)
  const sputterMl = sputterMlAt(point)
  const prior = -(point[0] * point[0] + point[1] * point[1]) / 2
  const logs = SCATTERS.map(({ logPrior }) => prior + logPrior)
  for (const run of evidence) {
    const error = run.logMinutes - logPredicted(run, rate, sputterMl)
    const weighing = weighingLog(run, rate, sputterMl)
    const sputtered = run.ended === 'sputter'
    for (let i = 0; i < SCATTERS.length; i++) {
      const { scatter, peak } = SCATTERS[i] as (typeof SCATTERS)[number]
      const z = error / scatter
      const timing = sputtered ? peak + logStudentFall(z) : Math.log(studentAbove(z))
      logs[i] = (logs[i] ?? 0) + timing + weighing
    }
  }
  return logs
}

function logPredicted(run: Evidence, rate: number, sputterMl: number): number {
  return Math.log(Math.max(SHORTEST_MIN, minutesUntil(run.times, rate, sputterMl)))
}

function weighingLog(run: Evidence, rate: number, sputterMl: number): number {
  if (run.leftG === undefined) return 0
  const predictedG = run.ended === 'sputter' ? sputterMl : leftAfter(run.times, rate, run.minutes)
  return logStudentFall((run.leftG - predictedG) / WEIGHING_G)
}

function scatterWeights(points: readonly WeighedPoint[]): [number, number][] {
  return SCATTERS.map(({ scatter }, i) => [
    scatter,
    points.reduce((sum, { parts }) => sum + (parts[i] ?? 0), 0),
  ])
}

function ends(values: readonly (readonly [value: number, weight: number])[]): Ends {
  const sorted = [...values].sort((a, b) => a[0] - b[0])
  return { low: quantile(sorted, 0.05), likely: quantile(sorted, 0.5), high: quantile(sorted, 0.95) }
}

function oddRuns(evidence: readonly Evidence[], middle: CupPoint, scatter: number): number[] {
  const [rate, sputterMl] = [dropletGPerMinAt(middle), sputterMlAt(middle)]
  return evidence.flatMap((run, i) => {
    const error = run.logMinutes - logPredicted(run, rate, sputterMl)
    const odd = run.ended === 'sputter' ? Math.abs(error) > 3 * scatter : error > 3 * scatter
    return odd ? [i] : []
  })
}

const DIRECTIONS = 8

/**
 * Points on the rim of what the runs allow, nine of ten, for a forecast to run: eight directions, set out a little so
 * that the rim between them is not missed.
 */
export function rimOf({ middle, axes }: Calibration, reach: number): CupPoint[] {
  const out = reach / Math.cos(Math.PI / DIRECTIONS)
  return Array.from({ length: DIRECTIONS }, (_, i) => {
    const angle = (2 * Math.PI * i) / DIRECTIONS
    const [a, b] = [out * Math.cos(angle), out * Math.sin(angle)]
    return [middle[0] + a * axes[0][0] + b * axes[1][0], middle[1] + a * axes[0][1] + b * axes[1][1]]
  })
}

/** How far a single run may lie from what is expected of it, nine of ten, in the logarithm of its time. */
export function runReach(calibration: Calibration): number {
  return STUDENT_90 * calibration.scatter.likely
}
