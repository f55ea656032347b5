import { type ChartedRun, calibrate } from '../src/clinical/aerosol/calibrate.ts'
import { type CupConditions, runCup } from '../src/clinical/aerosol/cup.ts'
import { JET, JET_DROPLETS, JET_SPUTTER } from '../src/clinical/aerosol/cup-kinds.ts'
import { valueAt } from '../src/clinical/aerosol/cup-prior.ts'
import { GASES } from '../src/clinical/aerosol/gas.ts'
import { scatterAt } from '../src/clinical/aerosol/scatter-grid.ts'

/** A fill of 4 mL on 8 L/min of dry air. */
export const usual: CupConditions = {
  fillMl: 4,
  gas: GASES.air,
  flowLPerMin: 8,
  relativeHumidity: 0,
  roomCel: 22,
  pressurePa: 101_325,
}

/** A small generator with a seed (mulberry32), so that every sample can be had again. */
export function generator(seed: number) {
  let state = seed >>> 0
  const uniform = () => {
    state = (state + 0x6d2b79f5) >>> 0
    let t = Math.imul(state ^ (state >>> 15), 1 | state)
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t
    return (((t ^ (t >>> 14)) >>> 0) + 0.5) / 4294967296
  }
  const normal = () => Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform())
  const student = () => {
    const square = normal() ** 2 + normal() ** 2 + normal() ** 2 + normal() ** 2
    return normal() / Math.sqrt(square / 4)
  }
  return { uniform, normal, student }
}
type Generator = ReturnType<typeof generator>

/** A model of cup as it truly is, and how much its runs scatter. */
export type Truth = { readonly dropletGPerMin: number; readonly sputterMl: number; readonly scatter: number }

/** Minutes to the first sputter of such a cup, without scatter. */
export function minutesOf(truth: Truth, conditions: CupConditions): number {
  return (runCup({ ...JET, ...truth }, conditions).sputterS ?? Number.NaN) / 60
}

/** Nobody waits longer for a cup: such a run is stopped. */
const LONGEST_MIN = 60

/** A run as somebody would chart it: some are stopped early, some are weighed. */
export function simulate(
  truth: Truth,
  random: Generator,
  options: { stopped: number; weighed: number },
): ChartedRun {
  const conditions = {
    ...usual,
    fillMl: random.uniform() < 0.5 ? 3 : 4,
    flowLPerMin: random.uniform() < 0.5 ? 6 : 8,
  }
  const minutes = minutesOf(truth, conditions) * Math.exp(truth.scatter * random.student())
  const leftG = Math.min(conditions.fillMl, Math.max(0, truth.sputterMl + 0.15 * random.student()))
  if (random.uniform() < options.stopped) {
    const stop = 20 * random.uniform()
    if (stop < minutes) return { conditions, ended: 'stopped', minutes: Math.max(0.1, stop) }
  }
  if (minutes > LONGEST_MIN) return { conditions, ended: 'stopped', minutes: LONGEST_MIN }
  const weighed = random.uniform() < options.weighed
  return { conditions, ended: 'sputter', minutes: Math.max(0.1, minutes), ...(weighed && { leftG }) }
}

/** A model of cup drawn from what is published. */
export function drawTruth(random: Generator): Truth {
  return {
    dropletGPerMin: valueAt(JET_DROPLETS, random.normal()),
    sputterMl: valueAt(JET_SPUTTER, random.normal()),
    scatter: scatterAt(random.normal()),
  }
}

export type Coverage = Readonly<Record<'rate' | 'volume' | 'scatter', number>>

/**
 * Share of simulated hospitals whose true figures lie inside the interval of nine in ten that their runs give; every
 * fourth run is stopped at a time of its own, three in ten are weighed.
 */
export function coverage(hospitals: number, runsEach: number, seed: number): Coverage {
  const random = generator(seed)
  const covered = { rate: 0, volume: 0, scatter: 0 }
  const inside = ({ low, high }: { low: number; high: number }, value: number) =>
    value >= low && value <= high ? 1 / hospitals : 0
  for (let hospital = 0; hospital < hospitals; hospital++) {
    const truth = drawTruth(random)
    const runs = Array.from({ length: runsEach }, () =>
      simulate(truth, random, { stopped: 0.25, weighed: 0.3 }),
    )
    const learned = calibrate(runs)
    covered.rate += inside(learned.dropletGPerMin, truth.dropletGPerMin)
    covered.volume += inside(learned.sputterMl, truth.sputterMl)
    covered.scatter += inside(learned.scatter, truth.scatter)
  }
  return covered
}
