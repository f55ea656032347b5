import { runReach } from './calibrate.ts'
import { type CupParameters, type CupRun, runCup } from './cup.ts'
import { type Ends, MESH_LEFT_ML } from './cup-kinds.ts'
import { cupEnds, likelyCup } from './cup-scenarios.ts'
import { CUP_FIGURES } from './figures.ts'
import type { CheckedSetup } from './setup.ts'

type CupFigure = (typeof CUP_FIGURES)[number]
type CupNumbers = Record<CupFigure, number>
type CupFigures = { readonly [Name in CupFigure]: Ends | null }

const TIMES = ['minutesToSputter', 'minutesToEnd', 'gasUsedL'] as const satisfies readonly CupFigure[]
const OTHERS = [
  'coolestCel',
  'concentrationRatio',
  'leftMl',
  'vaporG',
  'dropletG',
  'leavesCupMg',
  'leftInCupMg',
] as const satisfies readonly CupFigure[]

const NO_CUP_FIGURES = Object.fromEntries(CUP_FIGURES.map((name) => [name, null])) as CupFigures

export type CupForecast = {
  readonly figures: CupFigures
  /** The likely cup and its run, moment by moment; null for a mesh. */
  readonly likely: { readonly cup: CupParameters; readonly run: CupRun } | null
}

/** A jet at its likely set and at every end, each figure from the least to the greatest of all these runs. */
export function forecastJet(checked: CheckedSetup): CupForecast {
  const { conditions } = checked
  const cup = likelyCup(checked)
  const run = runCup(cup, conditions, true)
  const likely = numbersOf(run, checked)
  const lows = { ...likely }
  const highs = { ...likely }
  for (const scenario of cupEnds(checked)) {
    const at = numbersOf(runCup(scenario.cup, conditions), checked)
    for (const name of OTHERS) stretch(lows, highs, name, at[name])
    if (scenario.decidesTime) for (const name of TIMES) stretch(lows, highs, name, at[name])
  }
  const figures = {} as Record<CupFigure, Ends | null>
  for (const name of OTHERS) figures[name] = { low: lows[name], likely: likely[name], high: highs[name] }
  for (const name of TIMES) figures[name] = timeEnds(lows[name], likely[name], highs[name], checked)
  return { figures, likely: { cup, run } }
}

function stretch(lows: CupNumbers, highs: CupNumbers, name: CupFigure, value: number): void {
  // NaN (a run stopped before its sputter) stays, and makes the whole figure unknown.
  if (value < lows[name] || Number.isNaN(value)) lows[name] = value
  if (value > highs[name] || Number.isNaN(value)) highs[name] = value
}

/** The figures of one run; the time to sputter is NaN when the run was stopped before. */
function numbersOf(run: CupRun, { setup }: CheckedSetup): CupNumbers {
  const { doseMg } = setup.medicine
  const leftInCupMg = doseMg * run.drugLeft
  return {
    minutesToSputter: run.sputterS === null ? Number.NaN : run.sputterS / 60,
    minutesToEnd: run.endS / 60,
    coolestCel: run.coolestCel,
    concentrationRatio: (run.drugLeft * setup.fillMl) / run.leftG,
    leftMl: run.leftG,
    vaporG: run.vaporG,
    dropletG: run.dropletG,
    leavesCupMg: doseMg - leftInCupMg,
    leftInCupMg,
    gasUsedL: (setup.gas.flowLPerMin * run.endS) / 60,
  }
}

/** Where the cup is known by its runs, single runs still scatter: both spreads, as independent errors add up. */
function timeEnds(low: number, likely: number, high: number, { setup }: CheckedSetup): Ends | null {
  if (Number.isNaN(low) || Number.isNaN(likely) || Number.isNaN(high)) return null
  const { calibration } = setup.cup
  if (!calibration || calibration.runs === 0 || likely === 0) return { low, likely, high }
  const scatter = runReach(calibration)
  const below = Math.hypot(Math.log(likely / Math.max(low, 1e-3 * likely)), scatter)
  const above = Math.hypot(Math.log(high / likely), scatter)
  return { low: likely * Math.exp(-below), likely, high: likely * Math.exp(above) }
}

/**
 * A mesh holds its strength and leaves little; nothing published here tells its output or the share inhaled. So of a run
 * that is stopped by the clock nothing is known.
 */
export function forecastMesh({ setup }: CheckedSetup): CupForecast {
  const { doseMg } = setup.medicine
  if (setup.stopAfterMin !== undefined) return { figures: NO_CUP_FIGURES, likely: null }
  const leftMg = (ml: number) => (doseMg * ml) / setup.fillMl
  const { low, likely, high } = MESH_LEFT_ML
  const left = { low: leftMg(low), likely: leftMg(likely), high: leftMg(high) }
  const figures: CupFigures = {
    ...NO_CUP_FIGURES,
    leftMl: MESH_LEFT_ML,
    leavesCupMg: { low: doseMg - left.high, likely: doseMg - left.likely, high: doseMg - left.low },
    leftInCupMg: left,
  }
  return { figures, likely: null }
}
