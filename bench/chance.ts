import { writeFileSync } from 'node:fs'
import { readShift, reliabilityTable, robustPlan, type Shift, USUAL_SCATTER } from '../src/rounds/index.ts'
import { judgeShift } from '../test/planning/calibration.ts'
import { dayOf } from '../test/planning/living.ts'
import type { Nature } from '../test/planning/truth.ts'
import { reliabilityPlot } from './reliability-plot.ts'
import { text } from './round-measure.ts'

const FILES = ['shift-02-k2-n36', 'shift-04-k5-n100', 'shift-05-k8-n180', 'shift-06-k12-n240']
const [SHIFTS_PER_FILE, SAMPLES] = [25, 250]
const MINUTES = [0, 120, 240, 360, 480]
const RANGES = 10
const PLOT = 'docs/on-time-reliability.svg'

const { durationCv, walkCv } = USUAL_SCATTER
const NATURES: readonly (Nature & { readonly name: string })[] = [
  { name: 'as told', law: 'lognormal', durationCv, walkCv },
  { name: 'another law (gamma), the same spread', law: 'gamma', durationCv, walkCv },
  {
    name: 'twice the usual spread, and known',
    law: 'lognormal',
    durationCv: 2 * durationCv,
    walkCv: 2 * walkCv,
  },
]

/** Whether chances of being on time come true over simulated shifts; draws the plot of docs/rounds.md. */
export async function run(): Promise<void> {
  const judged = NATURES.map((nature) => ({ nature, pairs: judgedPairs(nature) }))
  for (const { nature, pairs } of judged) {
    console.log(`\n${nature.name}: ${pairs.length} tellings in ${FILES.length * SHIFTS_PER_FILE} shifts`)
    console.log('told from–until   visits   told on average   on time')
    for (const row of reliabilityTable(pairs, RANGES))
      console.log(
        `${pad(row.from)}–${pad(row.until)}      ${String(row.visits).padStart(6)}   ${pad(row.meanChance, 1)}           ${pad(row.onTimeShare, 1)}`,
      )
    console.log(`mean squared error (Brier) ${brier(pairs).toFixed(4)}`)
  }
  const rows = reliabilityTable(
    judged.flatMap((item) => item.pairs),
    RANGES,
  )
  writeFileSync(PLOT, reliabilityPlot(rows, 'Chance of being on time: told and come true'))
  console.log(`\nwrote ${PLOT}`)
  tellRobustness()
}

const judgedPairs = (nature: Nature) =>
  FILES.flatMap((file) => {
    const day = dayOf(shiftOf(file), 1)
    return Array.from({ length: SHIFTS_PER_FILE }, (_, i) =>
      judgeShift(day, MINUTES, nature, 1000 + i, SAMPLES),
    ).flat()
  })

const shiftOf = (file: string): Shift => readShift(JSON.parse(text(`shifts/${file}.json`))).shift

const brier = (pairs: readonly { readonly chance: number; readonly onTime: boolean }[]): number =>
  pairs.reduce((sum, { chance, onTime }) => sum + (chance - (onTime ? 1 : 0)) ** 2, 0) / pairs.length

const pad = (share: number, digits = 0): string =>
  `${(100 * share).toFixed(digits).padStart(digits === 0 ? 3 : 5)} %`

/** What a reserve costs in planned points and saves in lateness on average. */
function tellRobustness(): void {
  console.log('\nplans with reserve (weight 1)   reserve   planned cost   expected lateness')
  for (const file of FILES) {
    const shift = shiftOf(file)
    const { planned, chosen } = robustPlan(shift, {
      seed: 1,
      effort: () => ({ iterations: 5000 }),
      chance: { samples: SAMPLES, seed: 1, scatter: USUAL_SCATTER },
      weight: 1,
    })
    for (const plan of [planned, chosen])
      console.log(
        `${file.padEnd(28)}   ${String(plan.reserveMinutes).padStart(4)} min   ${String(plan.priced.total).padStart(12)}   ${plan.expectedLatePoints.toFixed(1).padStart(17)}`,
      )
  }
}
