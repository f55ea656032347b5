import { describe, expect, it } from 'vitest'
import { pricePlainly } from '../../../test/planning/evaluator.ts'
import { provenByMilp } from '../../../test/planning/milp.ts'
import { readJson } from '../../../test/planning/read.ts'
import { readShift } from '../check.ts'
import { compile } from '../compile.ts'
import { pricedState } from '../evaluate.ts'
import { solveExactly } from './exact.ts'

type Optimum = { readonly instance: string; readonly optimalObjective: number }
const optima = (readJson('exact/optima.json') as { readonly instances: readonly Optimum[] }).instances

describe('small problems solved completely', () => {
  it.each(optima)('reaches and proves the published optimum: $instance', ({ instance, optimalObjective }) => {
    const file = readJson(`exact/${instance}.json`)
    const compiled = compile(readShift(file).shift)
    const answer = solveExactly(compiled.flat)
    expect(answer?.proved).toBe(true)
    expect(answer?.state.cost()).toBe(optimalObjective)
    const plan = pricedState(compiled, (answer as NonNullable<typeof answer>).state).plan
    const plain = pricePlainly(file, plan.routes)
    expect(plain.broken).toEqual([])
    expect(plain.total).toBe(optimalObjective)
  })

  it('proves a whole shift of one therapist', () => {
    const compiled = compile(readShift(readJson('shifts/shift-01-k1-n12.json')).shift)
    const answer = solveExactly(compiled.flat)
    expect(answer?.proved).toBe(true)
    expect(answer?.state.cost()).toBe(291) // proven optimal in reference-values.csv
  })

  it('declines what is too large', () => {
    const compiled = compile(readShift(readJson('shifts/shift-02-k2-n36.json')).shift)
    expect(solveExactly(compiled.flat)).toBeNull()
  })

  it('agrees with a mixed-integer solver that knows nothing of routes', async () => {
    const shift = readShift(readJson('exact/exact-01.json')).shift
    expect(await provenByMilp(shift, 60)).toBe(1270)
  })
})
