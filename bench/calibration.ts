import { calibrate } from '../src/clinical/aerosol/calibrate.ts'
import { coverage, drawTruth, generator, simulate } from './simulated-runs.ts'

const SEED = 20_251
/** How many simulated hospitals for how many runs each. */
const STUDIES = [
  { runs: 3, hospitals: 4000 },
  { runs: 6, hospitals: 4000 },
  { runs: 40, hospitals: 1000 },
  { runs: 300, hospitals: 200 },
] as const

/** How often the learned intervals hold the truth, against the nine in ten that they state, and how long learning takes. */
export async function run(): Promise<void> {
  for (const { runs, hospitals } of STUDIES) {
    const { rate, volume, scatter } = coverage(hospitals, runs, SEED)
    const standardError = Math.sqrt((0.9 * 0.1) / hospitals)
    const show = (share: number) => `${(100 * share).toFixed(1)} %`
    console.log(
      `${runs} runs, ${hospitals} hospitals: droplet rate ${show(rate)}, sputter volume ${show(volume)}, scatter ${show(scatter)} (stated 90 %, standard error ${show(standardError)}; seed ${SEED})`,
    )
  }
  for (const count of [6, 40, 300]) console.log(`learning from ${count} runs: ${timed(count).toFixed(0)} ms`)
}

function timed(count: number): number {
  const random = generator(SEED)
  const truth = drawTruth(random)
  const runs = Array.from({ length: count }, () => simulate(truth, random, { stopped: 0.25, weighed: 0.3 }))
  const start = performance.now()
  calibrate(runs)
  return performance.now() - start
}
