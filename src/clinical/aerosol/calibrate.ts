import { BadInput, requireWithin } from '../worked.ts'
import type { CupConditions } from './cup.ts'
import { COVERED_JET_FLOW, type Ends, JET_DROPLETS, JET_SPUTTER } from './cup-kinds.ts'
import { type CupPoint, logPrior } from './cup-prior.ts'
import { NORMAL_90 } from './normal.ts'
import { type Cloud, cloudOf, quantile, refine, rimOf, sorted, type WeighedPoint } from './posterior.ts'
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
  /** Cups at the edge of what the runs allow, nine of ten, for a forecast to run; none without runs. */
  readonly rim: readonly CupPoint[]
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
  return { scatter, logChance: -(z * z) / 2, peak: logStudentPeak(scatter) }
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
  if (runs.length === 0) return PUBLISHED
  let cloud = PRIOR_CLOUD
  let points: readonly WeighedPoint[] = []
  for (let round = 0; round < ROUNDS; round++) {
    points = refine(cloud, (point) => posteriorAt(point, evidence))
    cloud = cloudOf(points, round < ROUNDS - 1 ? cloud : undefined)
  }
  const dropletGPerMin = ends(points.map(({ point, weight }) => [point[0], weight]))
  const sputterMl = ends(points.map(({ point, weight }) => [point[1], weight]))
  const scatter = ends(scatterWeights(points))
  return {
    runs: runs.length,
    dropletGPerMin,
    sputterMl,
    scatter,
    rim: rimOf(points, cloud),
    oddRuns: oddRuns(evidence, [dropletGPerMin.likely, sputterMl.likely], scatter.likely),
  }
}

/** Wide enough to hold the prior: 99.9 % of it lies within the first grid. */
const PRIOR_CLOUD: Cloud = {
  middle: [0.18, 1.4],
  axes: [
    [0, 0.5],
    [0.08, 0],
  ],
}

const PUBLISHED: Calibration = {
  runs: 0,
  dropletGPerMin: JET_DROPLETS,
  sputterMl: JET_SPUTTER,
  scatter: {
    low: SCATTER_MEDIAN * Math.exp(-NORMAL_90 * SCATTER_SPREAD),
    likely: SCATTER_MEDIAN,
    high: SCATTER_MEDIAN * Math.exp(NORMAL_90 * SCATTER_SPREAD),
  },
  rim: [],
  oddRuns: [],
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
  requireWithin(`${where}.conditions.flowLPerMin`, conditions.flowLPerMin, COVERED_JET_FLOW)
  requireWithin(`${where}.minutes`, minutes, { low: 0.1, high: 180, unit: 'min' })
  if (leftG !== undefined)
    requireWithin(`${where}.leftG`, leftG, { low: 0, high: conditions.fillMl, unit: 'g' })
  if (ended !== 'sputter' && ended !== 'stopped')
    throw new BadInput(`${where}.ended`, ended, 'sputter, stopped')
}

/** Logarithm of prior × likelihood at a point, for each scatter. */
function posteriorAt(point: CupPoint, evidence: readonly Evidence[]): number[] | null {
  const prior = logPrior(point)
  if (prior === -Infinity) return null
  const [rate, sputterMl] = point
  const logs = SCATTERS.map(({ logChance }) => prior + logChance)
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
  const inOrder = sorted(values)
  return { low: quantile(inOrder, 0.05), likely: quantile(inOrder, 0.5), high: quantile(inOrder, 0.95) }
}

function oddRuns(evidence: readonly Evidence[], [rate, sputterMl]: CupPoint, scatter: number): number[] {
  return evidence.flatMap((run, i) => {
    const error = run.logMinutes - logPredicted(run, rate, sputterMl)
    const odd = run.ended === 'sputter' ? Math.abs(error) > 3 * scatter : error > 3 * scatter
    return odd ? [i] : []
  })
}

/** How far a single run may lie from what is expected of it, nine of ten, in the logarithm of its time. */
export function runReach(calibration: Calibration): number {
  return STUDENT_90 * calibration.scatter.likely
}
