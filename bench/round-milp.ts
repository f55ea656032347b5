import fc from 'fast-check'
import { compile } from '../src/rounds/compile.ts'
import { readShift, type Shift, solveExactly } from '../src/rounds/index.ts'
import { provenByMilp } from '../test/planning/milp.ts'
import { smallShift } from '../test/planning/small-shift.ts'
import { text } from './round-measure.ts'

const LIMIT_SECONDS = 240
const RANDOM_SHIFTS = 40
const RANDOM_SECONDS = 20
const SEED = 12

type Verdict = 'agrees' | 'DISAGREES' | 'no proof in time'

/** The planner's proven optimum against that of a mixed-integer solver which knows nothing of routes. */
async function compare(shift: Shift, seconds: number): Promise<{ verdict: Verdict; ours: number }> {
  const answer = solveExactly(compile(shift).flat)
  if (answer === null) throw new Error(`${shift.name} is not small`)
  const ours = answer.state.cost()
  const theirs = await provenByMilp(shift, seconds)
  if (theirs === null) return { verdict: 'no proof in time', ours }
  const agrees = answer.proved ? theirs === ours : answer.lowerBound <= theirs && theirs <= ours
  return { verdict: agrees ? 'agrees' : 'DISAGREES', ours }
}

/** Every small file, and random small shifts, against the HiGHS solver on the compact arc-flow formulation. */
export async function milpBench(): Promise<void> {
  console.log('\nAgainst a mixed-integer solver (HiGHS)')
  const count: Record<Verdict, number> = { agrees: 0, DISAGREES: 0, 'no proof in time': 0 }
  for (const file of fc.sample(withBreaks, { numRuns: RANDOM_SHIFTS, seed: SEED }))
    count[(await compare(readShift(file).shift, RANDOM_SECONDS)).verdict]++
  console.log(
    `  ${RANDOM_SHIFTS} random small shifts: ${Object.entries(count)
      .map(([verdict, n]) => `${n} ${verdict}`)
      .join(', ')}`,
  )
  console.log(`  The small files, at most ${LIMIT_SECONDS} s on the wall each`)
  const { instances } = JSON.parse(text('exact/optima.json')) as {
    readonly instances: readonly { readonly instance: string }[]
  }
  for (const { instance } of instances) {
    const from = performance.now()
    const { shift } = readShift(JSON.parse(text(`exact/${instance}.json`)))
    const { verdict, ours } = await compare(shift, LIMIT_SECONDS)
    console.log(`  ${instance}  ${ours}  ${verdict}, ${((performance.now() - from) / 1000).toFixed(1)} s`)
  }
}

/** The solver's formulation gives everybody a break. */
const withBreaks = smallShift.map((file) => ({
  ...file,
  therapists: file.therapists.map((therapist) => ({
    ...therapist,
    break: { unit: 'BASE', duration: 15, earliest: 40, latest: 80 },
  })),
}))
