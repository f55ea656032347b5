import { describe, expect, it } from 'vitest'
import { pricePlainly } from '../../test/planning/evaluator.ts'
import { readJson } from '../../test/planning/read.ts'
import { readShift } from './check.ts'
import { compile } from './compile.ts'
import { pricedState } from './evaluate.ts'
import { constructed, improve, PlanSearch } from './improve.ts'
import type { Shift } from './model.ts'

const shiftOf = (name: string) => readShift(readJson(`shifts/${name}.json`)).shift

/** Several copies of a shift side by side: other ids, same units. */
function copies(shift: Shift, count: number): Shift {
  const renamed = <T extends { readonly id: string }>(list: readonly T[]) =>
    Array.from({ length: count }, (_, i) => list.map((item) => ({ ...item, id: `${item.id}-${i}` }))).flat()
  const visits = Array.from({ length: count }, (_, i) =>
    shift.visits.map((visit) => ({ ...visit, id: `${visit.id}-${i}`, patient: `${visit.patient}-${i}` })),
  ).flat()
  return {
    ...shift,
    therapists: renamed(shift.therapists),
    patients: renamed(shift.patients),
    visits,
    events: [],
  }
}

describe('searching for a better plan', () => {
  it('gives the same plan for the same seed and number of rounds', () => {
    const compiled = compile(shiftOf('shift-04-k5-n100'))
    const plans = [7, 7, 8].map((seed) => {
      const state = constructed(compiled.flat)
      improve(state, { seed, effort: { iterations: 600 } })
      return pricedState(compiled, state).plan.routes
    })
    expect(plans[1]).toEqual(plans[0])
    expect(plans[2]).not.toEqual(plans[0])
  })

  it('never makes a plan worse, and reports a cost that only falls', () => {
    const { flat } = compile(shiftOf('shift-02-k2-n36'))
    const state = constructed(flat)
    const costs: number[] = [state.cost()]
    improve(state, { seed: 3, effort: { iterations: 3000 }, progress: (_, cost) => costs.push(cost) })
    costs.push(state.cost())
    expect(costs).toEqual([...costs].sort((a, b) => b - a))
    expect(costs.at(-1)).toBeLessThan(costs[0] as number)
  })

  it.each([
    // reference-values.csv: 60 s runs of a plain heuristic; here a few thousand rounds must come close.
    ['shift-02-k2-n36', 4000, 483, 1.03],
    ['shift-04-k5-n100', 8000, 706, 1.04],
    ['shift-06-k12-n240', 4000, 1075, 1.12],
  ])('comes near the kept reference value of %s in %i rounds', (name, iterations, reference, within) => {
    const shift = shiftOf(name)
    const compiled = compile(shift)
    const state = constructed(compiled.flat)
    improve(state, { seed: 1, effort: { iterations } })
    const plain = pricePlainly(shift, pricedState(compiled, state).plan.routes)
    expect(plain.broken).toEqual([])
    expect(plain.total).toBeLessThanOrEqual(within * reference)
  })

  it('stops when asked, with the best plan so far', () => {
    const { flat } = compile(shiftOf('shift-04-k5-n100'))
    const state = constructed(flat)
    let asked = 0
    const rounds = improve(state, { seed: 1, effort: { iterations: 1_000_000 }, stop: () => ++asked > 10 })
    expect(rounds).toBeLessThan(1000)
    expect(state.cost()).toBeLessThanOrEqual(constructed(flat).cost())
  })

  it('searches in steps, with the best plan so far in hand after each', () => {
    const shift = shiftOf('shift-04-k5-n100')
    const compiled = compile(shift)
    const whole = constructed(compiled.flat)
    improve(whole, { seed: 5, effort: { iterations: 320 } })
    const state = constructed(compiled.flat)
    const search = new PlanSearch(state, { seed: 5, effort: { iterations: 320 } })
    const shares: number[] = []
    while (search.step()) {
      shares.push(search.share)
      const plain = pricePlainly(shift, pricedState(compiled, state).plan.routes)
      expect(plain.broken).toEqual([])
      expect(plain.total).toBe(search.cost)
    }
    expect(shares).toHaveLength(10)
    expect(shares).toEqual([...shares].sort((a, b) => a - b))
    expect([search.share, search.rounds]).toEqual([1, 320])
    expect(state.routes()).toEqual(whole.routes())
  })

  it('keeps to a clock that the caller gives', () => {
    const { flat } = compile(shiftOf('shift-02-k2-n36'))
    let time = 0
    const rounds = improve(constructed(flat), { seed: 1, effort: { now: () => time++, until: 20 } })
    expect(rounds).toBeGreaterThan(0)
    expect(time).toBeLessThan(30)
  })

  it('plans two thousand visits', () => {
    const shift = copies(shiftOf('shift-06-k12-n240'), 9) // 2,160 visits, 108 therapists
    const compiled = compile(shift)
    const state = constructed(compiled.flat)
    improve(state, { seed: 1, effort: { iterations: 32 } })
    const priced = pricedState(compiled, state)
    expect(shift.visits.length).toBe(2160)
    expect(priced.droppedByPriority[0]).toBe(0)
    expect(priced.total).toBe(state.cost())
  }, 120_000)

  it('plans a shift without visits, and one without therapists', () => {
    const shift = shiftOf('shift-01-k1-n12')
    const empty = compile({ ...shift, visits: [] })
    const state = constructed(empty.flat)
    expect(improve(state, { seed: 1, effort: { iterations: 100 } })).toBe(0)
    expect(pricedState(empty, state).total).toBe(0)
    const alone = compile({ ...shift, therapists: [] })
    const nobody = constructed(alone.flat)
    expect(improve(nobody, { seed: 1, effort: { iterations: 100 } })).toBe(0)
    expect(pricedState(alone, nobody).dropped).toHaveLength(12)
  })
})
