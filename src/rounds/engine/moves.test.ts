import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { pricePlainly } from '../../../test/planning/evaluator.ts'
import { readJson } from '../../../test/planning/read.ts'
import { smallShift } from '../../../test/planning/small-shift.ts'
import { readShift } from '../check.ts'
import { type Compiled, compile } from '../compile.ts'
import { pricedState } from '../evaluate.ts'
import { constructed } from '../improve.ts'
import { Insertion, NO_PLACE } from './insertion.ts'
import { neighborsOf } from './neighbors.ts'
import { PlanState } from './plan-state.ts'
import { Random } from './random.ts'
import { Recreate } from './recreate.ts'
import { repairOrders } from './repair-orders.ts'
import { Ruin } from './ruin.ts'

const SIZES = {
  average: 10,
  longest: 10,
  strainedAverage: 8,
  strainedLongest: 5,
  split: 0.5,
  lengthen: 0.01,
}
const MOVES = ['strings', 'moment', 'wholeRoute', 'patients'] as const
const PUT_BACK = ['run', 'runByPatient'] as const
const SHIFTS = ['shift-03-k3-n105-overload', 'shift-04-k5-n100']

const compiledShift = (name: string) => compile(readShift(readJson(`shifts/${name}.json`)).shift)

/** The plain evaluator's opinion of the plan as it stands: its price, and every rule it breaks. */
function plainly(compiled: Compiled, state: PlanState) {
  const plan = pricedState(compiled, state).plan
  const { total, broken } = pricePlainly(compiled.shift, plan.routes)
  return { total, broken }
}

function workshop(compiled: Compiled, seed: number, blink = 0.01) {
  const state = constructed(compiled.flat)
  const random = new Random(seed)
  const ruin = new Ruin(state, neighborsOf(compiled.flat, 100), random, SIZES)
  const recreate = new Recreate(state, random, repairOrders(compiled.flat), blink)
  return { state, ruin, recreate }
}

describe('the moves of the search', () => {
  const cases = SHIFTS.flatMap((name) =>
    MOVES.flatMap((move) => PUT_BACK.map((putBack) => ({ name, move, putBack }))),
  )

  it.each(cases)('$move and $putBack keep times and price right: $name', ({ name, move, putBack }) => {
    const compiled = compiledShift(name)
    const { state, ruin, recreate } = workshop(compiled, 11)
    let removed = 0
    for (let round = 0; round < 12; round++) {
      ruin.isStrained = round % 2 === 1
      const before = state.totals[0] as number
      ruin[move]()
      if ((state.totals[0] as number) > before) removed++
      expect(plainly(compiled, state)).toEqual({ total: state.cost(), broken: [] })
      recreate[putBack]()
      expect(plainly(compiled, state)).toEqual({ total: state.cost(), broken: [] })
    }
    expect(removed).toBeGreaterThan(6)
  })

  it('takes out shorter strings while lateness rules the cost', () => {
    const compiled = compiledShift('shift-04-k5-n100')
    const longestRun = (isStrained: boolean) => {
      let longest = 0
      for (let seed = 1; seed <= 60; seed++) {
        const { state, ruin } = workshop(compiled, seed)
        const before = state.size.slice()
        ruin.isStrained = isStrained
        ruin.strings()
        for (let k = 0; k < before.length; k++)
          longest = Math.max(longest, (before[k] as number) - (state.size[k] as number))
      }
      return longest
    }
    expect(longestRun(true)).toBe(SIZES.strainedLongest)
    expect(longestRun(false)).toBe(SIZES.longest)
  })
})

describe('the price told before an insertion', () => {
  const priceEverywhere = (compiled: Compiled, state: PlanState, v: number) => {
    const { flat } = compiled
    const insertion = new Insertion(state)
    const routes = state.routes()
    let told = 0
    for (let k = 0; k < flat.routes; k++) {
      if (flat.allowed[v * flat.routes + k] === 0) continue
      insertion.take(v)
      const price = insertion.total(k, state.maxLoad(), NO_PLACE)
      if (price === NO_PLACE) continue
      const after = new PlanState(flat)
      after.setRoutes(routes)
      const before = after.cost()
      after.insert(v, insertion.place(k))
      if (after.broken) continue
      told++
      expect(after.cost() - before).toBeLessThanOrEqual(price - (flat.drop[v] as number))
      expect(plainly(compiled, after)).toEqual({ total: after.cost(), broken: [] })
    }
    return told
  }

  it('is never below what the insertion then costs, on a whole shift', () => {
    const compiled = compiledShift('shift-04-k5-n100')
    let told = 0
    for (let v = 0; v < compiled.flat.visits; v += 7) {
      const state = constructed(compiled.flat)
      if ((state.route[v] as number) < 0) continue
      state.remove(v)
      state.settleRemovals()
      told += priceEverywhere(compiled, state, v)
    }
    expect(told).toBeGreaterThan(20)
  })

  it('is never below what the insertion then costs, on random small shifts', () => {
    let told = 0
    fc.assert(
      fc.property(smallShift, fc.nat(), (file, pick) => {
        const compiled = compile(readShift(file).shift)
        const { visits } = compiled.flat
        if (visits === 0) return
        const state = constructed(compiled.flat)
        const v = pick % visits
        if ((state.route[v] as number) < 0) return
        state.remove(v)
        state.settleRemovals()
        told += priceEverywhere(compiled, state, v)
      }),
      { numRuns: 200, seed: 4711 },
    )
    expect(told).toBeGreaterThan(100)
  })
})
