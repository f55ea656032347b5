import { compile } from '../src/rounds/compile.ts'
import type { FlatProblem } from '../src/rounds/engine/flat.ts'
import { constructed, improve, readShift } from '../src/rounds/index.ts'
import { compileSolomon, parseSolomon } from '../src/rounds/solomon.ts'
import { above, mean, median, percent, searchClock, seconds, table, text, timed } from './round-measure.ts'

export type SearchBench = {
  readonly seeds: number
  readonly secondsEach: readonly number[]
  /** Seconds on the wall instead of seconds of processor time. */
  readonly wall: boolean
  /** Only files whose name matches. */
  readonly files: RegExp
}

type Case = { readonly name: string; readonly flat: FlatProblem; readonly reference: number }

/** One search from nothing, construction included, for so many seconds. */
function searched(flat: FlatProblem, seed: number, secondsEach: number, wall: boolean): number {
  const now = searchClock(wall)
  const until = now() + 1000 * secondsEach
  const state = constructed(flat)
  improve(state, { seed, effort: { now, until } })
  return state.cost()
}

function benchCases(title: string, all: readonly Case[], options: SearchBench): void {
  const cases = all.filter(({ name }) => options.files.test(name))
  if (cases.length === 0) return
  for (const secondsEach of options.secondsEach) {
    console.log(
      `\n${title}, ${secondsEach} s ${options.wall ? 'on the wall' : 'of processor time'}, ${options.seeds} seeds, one thread`,
    )
    const { cpu, wall } = timed(() => benchOne(cases, options, secondsEach))
    console.log(`  took ${seconds(cpu)} of processor time, ${seconds(wall)} on the wall`)
  }
}

function benchOne(cases: readonly Case[], { seeds, wall }: SearchBench, secondsEach: number): void {
  const means: number[] = []
  const runs: number[] = []
  for (const { name, flat, reference } of cases) {
    const costs = Array.from({ length: seeds }, (_, i) => searched(flat, i + 1, secondsEach, wall))
    const gaps = costs.map((cost) => above(cost, reference))
    means.push(mean(gaps))
    runs.push(...gaps)
    console.log(
      `  ${name.padEnd(26)} reference ${reference / flat.scale}  median ${percent(median(gaps))}  mean ${percent(mean(gaps))}  worst ${percent(Math.max(...gaps))}  ${costs.map((cost) => cost / flat.scale).join(' ')}`,
    )
  }
  console.log(
    `  all: mean ${percent(mean(means))}, worst mean of a file ${percent(Math.max(...means))}, worst run ${percent(Math.max(...runs))}`,
  )
}

/** Solomon's files against their proven optima: distances truncated to one decimal, total distance only. */
export function solomonBench(options: SearchBench): void {
  const cases = table('solomon/best-known.csv').map((row): Case => {
    const name = row.instance ?? ''
    const flat = compileSolomon(parseSolomon(text(`solomon/${name}.txt`)), 'dimacs')
    return { name, flat, reference: Math.round(flat.scale * Number(row.dimacs_distance)) }
  })
  benchCases('Solomon, DIMACS convention, gap to the proven optimum', cases, options)
}

export function shiftCase(name: string): FlatProblem {
  return compile(readShift(JSON.parse(text(`shifts/${name}.json`))).shift).flat
}

/** The shift files against the values to beat in reference-values.csv. */
export function shiftBench(options: SearchBench): void {
  const cases = table('shifts/reference-values.csv').map((row): Case => {
    const name = row.instance ?? ''
    return { name, flat: shiftCase(name), reference: Number(row.reference_objective) }
  })
  benchCases('Shift files, gap to the value to beat', cases, options)
}

/** How long the first plan takes, and what it costs. */
export function constructBench(): void {
  console.log('\nFirst plan by construction, median of 15')
  for (const { instance = '' } of table('shifts/reference-values.csv')) {
    const flat = shiftCase(instance)
    const runs = Array.from({ length: 15 }, () => timed(() => constructed(flat).cost()))
    console.log(
      `  ${instance.padEnd(26)} cost ${runs[0]?.value}  ${median(runs.map((run) => run.cpu)).toFixed(1)} ms of processor time, ${median(runs.map((run) => run.wall)).toFixed(1)} ms on the wall`,
    )
  }
}
