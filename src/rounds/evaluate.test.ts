import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { pricePlainly } from '../../test/planning/evaluator.ts'
import { EXACT, readJson, readTable, SHIFTS } from '../../test/planning/read.ts'
import { readShift } from './check.ts'
import { compile } from './compile.ts'
import { Random } from './engine/random.ts'
import { evaluate, PlanImpossible, pricedState } from './evaluate.ts'
import { constructed, improve } from './improve.ts'
import type { Plan, Shift } from './model.ts'

type Optimum = {
  readonly instance: string
  readonly optimalObjective: number
  readonly parts: Readonly<Record<string, number>>
  readonly oneOptimalPlan: readonly { readonly sequence: readonly { readonly visit?: string }[] }[]
}
const optima = (readJson('exact/optima.json') as { readonly instances: readonly Optimum[] }).instances

const shiftOf = (path: string): Shift => readShift(readJson(path)).shift

describe('pricing a plan', () => {
  it.each(optima)('gives the published parts of an optimal plan: $instance', (optimum) => {
    const shift = shiftOf(`exact/${optimum.instance}.json`)
    const routes = optimum.oneOptimalPlan.map(({ sequence }) => sequence.map((stop) => stop.visit ?? 'break'))
    const priced = evaluate(shift, { routes })
    expect(priced.total).toBe(optimum.optimalObjective)
    expect(priced.parts).toEqual(optimum.parts)
  })

  it.each(readTable('shifts/reference-values.csv'))(
    'gives the published value of the kept plan: $instance',
    (row) => {
      const shift = shiftOf(`shifts/${row.instance}.json`)
      const plan = readJson(`shifts/plans/${row.instance}.json`) as Plan
      expect(evaluate(shift, plan).total).toBe(Number(row.kept_plan_objective))
    },
  )

  it.each([...SHIFTS.map((name) => `shifts/${name}`), ...EXACT.map((name) => `exact/${name}`)])(
    'agrees with the plain evaluator on searched plans: %s',
    (path) => {
      const shift = shiftOf(`${path}.json`)
      const compiled = compile(shift)
      const state = constructed(compiled.flat)
      for (let seed = 1; seed <= 3; seed++) {
        improve(state, { seed, effort: { iterations: 64 }, hot: 20, cold: 20 })
        const priced = pricedState(compiled, state)
        const plain = pricePlainly(shift, priced.plan.routes)
        expect(plain.broken).toEqual([])
        expect(priced.parts).toEqual(plain.parts)
        expect(state.cost()).toBe(plain.total)
        for (const stop of priced.schedule.flatMap((item) => item.stops))
          if (stop.visit !== null) expect(stop.start).toBe(plain.starts.get(stop.visit))
      }
    },
  )

  it('agrees with the plain evaluator after any insertions and removals, also with promises', () => {
    const shift = shiftOf('shifts/shift-02-k2-n36.json')
    const first = compile(shift)
    const state = constructed(first.flat)
    const promised = pricedState(first, state).schedule.flatMap(({ therapist, stops }) =>
      stops.flatMap((stop) =>
        stop.visit === null ? [] : [{ visit: stop.visit, therapist, start: stop.start }],
      ),
    )
    const replanned = { ...shift, previousPlan: promised }
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 1_000_000 }), (seed) => {
        const compiled = compile(replanned)
        const trial = constructed(compiled.flat)
        const random = new Random(seed)
        for (let i = 0; i < 30; i++) disturb(trial, random)
        const plan = pricedState(compiled, trial).plan
        const plain = pricePlainly(replanned, plan.routes)
        expect(plain.broken).toEqual([])
        expect(trial.cost()).toBe(plain.total)
      }),
      { numRuns: 40, seed: 20_261_125 },
    )
  })

  it('refuses impossible plans', () => {
    const shift = shiftOf('exact/exact-04.json')
    expect(() => evaluate(shift, { routes: [['break', 'V0', 'V0'], ['break']] })).toThrow(PlanImpossible)
    expect(() => evaluate(shift, { routes: [['break', 'V99'], ['break']] })).toThrow(PlanImpossible)
    expect(() => evaluate(shift, { routes: [['V1', 'break', 'V7'], ['break']] })).toThrow(PlanImpossible)
  })

  it('prices a shift without visits', () => {
    const shift = { ...shiftOf('exact/exact-04.json'), visits: [] }
    expect(evaluate(shift, { routes: [['break'], ['break']] }).total).toBe(0)
  })
})

/** Takes a random visit out, or puts one in behind a random stop; a change that breaks the plan is taken back. */
function disturb(state: ReturnType<typeof constructed>, random: Random): void {
  const { p } = state
  const v = random.below(p.visits)
  if ((state.route[v] as number) >= 0) {
    state.remove(v)
    state.settleRemovals()
    return
  }
  const k = random.below(p.routes)
  if (p.allowed[v * p.routes + k] !== 1) return
  const stops = state.routes()[k] as number[]
  const after = [p.visits + p.routes + k, ...stops][random.below(stops.length + 1)] as number
  state.insert(v, after)
  if (!state.broken) return
  state.remove(v)
  state.settleRemovals()
}
