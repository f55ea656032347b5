import { BadInput, requireWithin } from '../worked.ts'
import type { CupConditions } from './cup.ts'
import { COVERED_JET_FLOW, type Ends, JET_DROPLETS, JET_SPUTTER } from './cup-kinds.ts'
import { type CupPoint, logPrior } from './cup-prior.ts'
import { NORMAL_90 } from './normal.ts'
import { type Cloud, cloudOf, quantile, refine, rimOf, sorted, type WeighedPoint } from './posterior.ts'
import { keyOf, leftAfter, minutesUntil, type RunTimes, runTimes } from './run-times.ts'
import {
  PRIOR_SCATTERS,
  refineScatters,
  type ScatterGrid,
  scatterAt,
  scatterWeights,
} from './scatter-grid.ts'
import {
  logOfFalls,
  logStudentFall,
  logStudentPeak,
  STUDENT_90,
  studentAbove,
  studentFallBase,
} from './student.ts'

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
  let scatters = PRIOR_SCATTERS
  let points: readonly WeighedPoint[] = []
  for (let round = 0; round < ROUNDS; round++) {
    if (round > 0) scatters = refineScatters(scatters, points)
    points = refine(cloud, (point) => posteriorAt(point, evidence, scatters))
    cloud = cloudOf(points, round < ROUNDS - 1 ? cloud : undefined)
  }
  const dropletGPerMin = ends(points.map(({ point, weight }) => [point[0], weight]))
  const sputterMl = ends(points.map(({ point, weight }) => [point[1], weight]))
  const scatter = ends(scatterWeights(scatters, points))
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
  scatter: { low: scatterAt(-NORMAL_90), likely: scatterAt(0), high: scatterAt(NORMAL_90) },
  rim: [],
  oddRuns: [],
}

/** Runs, and the tabled course of each kind of run among them. */
type Evidence = {
  readonly runs: readonly (ChartedRun & { readonly table: number; readonly logMinutes: number })[]
  readonly tables: readonly RunTimes[]
}

function withTimes(runs: readonly ChartedRun[]): Evidence {
  const places = new Map<string, number>()
  const tables: RunTimes[] = []
  const placed = runs.map((run) => {
    const key = keyOf(run.conditions)
    const table = places.get(key) ?? tables.push(runTimes(run.conditions)) - 1
    places.set(key, table)
    return { ...run, table, logMinutes: Math.log(run.minutes) }
  })
  return { runs: placed, tables }
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

/** So many factors are multiplied before their logarithm is taken: far fewer than would leave a double's range. */
const TOGETHER = 16

/** Logarithm of prior × likelihood at a point, for each scatter. */
function posteriorAt(point: CupPoint, { runs, tables }: Evidence, scatters: ScatterGrid): number[] | null {
  const prior = logPrior(point)
  if (prior === -Infinity) return null
  const [rate, sputterMl] = point
  const predicted = tables.map((table) => logPredicted(table, rate, sputterMl))
  const logs = scatters.map(({ logPrior }) => prior + logPrior)
  const errors = new Float64Array(runs.length)
  let weighed = 0
  for (const [i, run] of runs.entries()) {
    errors[i] = run.logMinutes - (predicted[run.table] ?? 0)
    if (run.leftG !== undefined) weighed += weighingLog(run, tables, rate, sputterMl)
  }
  return logs.map((log, i) => log + weighed + timingLog(scatters[i]?.scatter ?? 1, runs, errors))
}

/** How likely the run times are for a scatter: sputters by their density, stopped runs by lasting longer. */
function timingLog(scatter: number, runs: Evidence['runs'], errors: Float64Array): number {
  let [sum, falls, beyond] = [0, 1, 1]
  const peak = logStudentPeak(scatter)
  for (let i = 0; i < runs.length; i++) {
    const z = (errors[i] ?? 0) / scatter
    if (runs[i]?.ended === 'sputter') {
      sum += peak
      falls *= studentFallBase(z)
    } else beyond *= studentAbove(z)
    if (i % TOGETHER === 0) {
      sum += logOfFalls(falls) + Math.log(beyond)
      falls = 1
      beyond = 1
    }
  }
  return sum + logOfFalls(falls) + Math.log(beyond)
}

function logPredicted(table: RunTimes, rate: number, sputterMl: number): number {
  return Math.log(Math.max(SHORTEST_MIN, minutesUntil(table, rate, sputterMl)))
}

function weighingLog(
  run: Evidence['runs'][number],
  tables: readonly RunTimes[],
  rate: number,
  sputterMl: number,
): number {
  const table = tables[run.table]
  if (run.leftG === undefined || !table) return 0
  const predictedG = run.ended === 'sputter' ? sputterMl : leftAfter(table, rate, run.minutes)
  return logStudentFall((run.leftG - predictedG) / WEIGHING_G)
}

function ends(values: readonly (readonly [value: number, weight: number])[]): Ends {
  const inOrder = sorted(values)
  return { low: quantile(inOrder, 0.05), likely: quantile(inOrder, 0.5), high: quantile(inOrder, 0.95) }
}

function oddRuns({ runs, tables }: Evidence, [rate, sputterMl]: CupPoint, scatter: number): number[] {
  const predicted = tables.map((table) => logPredicted(table, rate, sputterMl))
  return runs.flatMap((run, i) => {
    const error = run.logMinutes - (predicted[run.table] ?? 0)
    const odd = run.ended === 'sputter' ? Math.abs(error) > 3 * scatter : error > 3 * scatter
    return odd ? [i] : []
  })
}

/** How far a single run may lie from what is expected of it, nine of ten, in the logarithm of its time. */
export function runReach(calibration: Calibration): number {
  return STUDENT_90 * calibration.scatter.likely
}
