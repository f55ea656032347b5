import { compile } from '../src/rounds/compile.ts'
import { constructed, improve, lowerBound, readShift, solveExactly } from '../src/rounds/index.ts'
import { cpuMs, median, percent, table, text, timed } from './round-measure.ts'
import { shiftCase } from './round-search.ts'

const WARM_UP = 3
const RUNS = 5
/** Rounds of the plan against which a bound is read. */
const PLAN_ROUNDS = 60_000

/** The small files: every optimum reached and proved, and how long it takes once warm. */
export function exactBench(): void {
  const { instances } = JSON.parse(text('exact/optima.json')) as {
    readonly instances: readonly { readonly instance: string; readonly optimalObjective: number }[]
  }
  console.log(`\nSmall files solved completely, median of ${RUNS} after ${WARM_UP} to warm up`)
  const medians: number[] = []
  for (const { instance, optimalObjective } of instances) {
    const { flat } = compile(readShift(JSON.parse(text(`exact/${instance}.json`))).shift)
    for (let i = 0; i < WARM_UP; i++) solveExactly(flat)
    const runs = Array.from({ length: RUNS }, () => timed(() => solveExactly(flat)))
    const ms = median(runs.map((run) => run.cpu))
    medians.push(ms)
    const proved = runs.every(({ value }) => value?.proved && value.state.cost() === optimalObjective)
    console.log(
      `  ${instance}  ${optimalObjective} ${proved ? 'proved' : 'NOT PROVED'}  ${ms.toFixed(1)} ms of processor time, ${median(runs.map((run) => run.wall)).toFixed(1)} ms on the wall`,
    )
  }
  console.log(`  median ${median(medians).toFixed(1)} ms, slowest ${Math.max(...medians).toFixed(1)} ms`)
}

/** How near the bound comes to a good plan in 5, 10 and 30 seconds of processor time. */
export function boundBench(): void {
  console.log(`\nBounds, seconds of processor time; the plan is that of ${PLAN_ROUNDS} rounds`)
  for (const { instance = '' } of table('shifts/reference-values.csv')) {
    const flat = shiftCase(instance)
    const state = constructed(flat)
    improve(state, { seed: 1, effort: { iterations: PLAN_ROUNDS } })
    const known = state.routes().map((route) => route.filter((v) => v < flat.visits))
    const marks = [5, 10, 30].map((limit) => ({ limit, value: 0 }))
    const from = cpuMs()
    const bound = lowerBound(flat, {
      known,
      stop: () => cpuMs() - from > 30_000,
      progress: (value) => {
        for (const mark of marks) if (cpuMs() - from <= 1000 * mark.limit) mark.value = value
      },
    })
    const gap = (value: number) => percent(100 * (1 - value / state.cost()))
    console.log(
      `  ${instance.padEnd(26)} plan ${state.cost()}  ${marks.map(({ limit, value }) => `${limit} s: ${value} (${gap(value)})`).join('  ')}  by ${bound.method}, ${bound.overloads.length} overloads`,
    )
  }
}
