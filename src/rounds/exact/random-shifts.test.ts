import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { pricePlainly } from '../../../test/planning/evaluator.ts'
import { provenByMilp } from '../../../test/planning/milp.ts'
import { smallShift } from '../../../test/planning/small-shift.ts'
import { readShift } from '../check.ts'
import { compile } from '../compile.ts'
import { pricedState } from '../evaluate.ts'
import { constructed, improve } from '../improve.ts'
import { solveExactly } from './exact.ts'

const SEED = 4711

describe('random small shifts', () => {
  it('are planned within every rule, at the price that the plain evaluator finds', () => {
    fc.assert(
      fc.property(smallShift, (file) => {
        const { shift } = readShift(file)
        const compiled = compile(shift)
        const first = constructed(compiled.flat)
        const searched = constructed(compiled.flat)
        improve(searched, { seed: 1, effort: { iterations: 96 } })
        for (const state of [first, searched]) {
          const priced = pricedState(compiled, state)
          const plain = pricePlainly(shift, priced.plan.routes)
          expect(plain.broken).toEqual([])
          expect(priced.parts).toEqual(plain.parts)
          expect(state.cost()).toBe(plain.total)
          const given = priced.plan.routes.flat().filter((stop) => stop !== 'break')
          expect(given.length + priced.dropped.length).toBe(shift.visits.length)
        }
        expect(searched.cost()).toBeLessThanOrEqual(first.cost())
      }),
      { numRuns: 150, seed: SEED },
    )
  })

  it('are solved at no more than what the search finds, and at the price of the plain evaluator', () => {
    fc.assert(
      fc.property(smallShift, (file) => {
        const { shift } = readShift(file)
        const compiled = compile(shift)
        const answer = solveExactly(compiled.flat)
        if (answer === null) throw new Error('the shift is not small')
        const searched = constructed(compiled.flat)
        improve(searched, { seed: 2, effort: { iterations: 320 } })
        expect(answer.state.cost()).toBeLessThanOrEqual(searched.cost())
        expect(answer.lowerBound).toBeLessThanOrEqual(answer.state.cost())
        const plain = pricePlainly(shift, pricedState(compiled, answer.state).plan.routes)
        expect(plain.broken).toEqual([])
        expect(plain.total).toBe(answer.state.cost())
      }),
      { numRuns: 100, seed: SEED },
    )
  })

  it('have the optimum that a mixed-integer solver proves', async () => {
    const withBreaks = smallShift.map((file) => ({
      ...file,
      therapists: file.therapists.map((therapist) => ({
        ...therapist,
        break: { unit: 'BASE', duration: 15, earliest: 40, latest: 80 },
      })),
      visits: file.visits.slice(0, 4),
    }))
    let compared = 0
    for (const file of fc.sample(withBreaks, { numRuns: 12, seed: SEED })) {
      const { shift } = readShift(file)
      const answer = solveExactly(compile(shift).flat)
      if (answer === null) throw new Error('the shift is not small')
      const optimum = await provenByMilp(shift, 20)
      if (optimum === null) continue
      compared++
      expect(answer.lowerBound).toBeLessThanOrEqual(optimum)
      expect(answer.state.cost()).toBeGreaterThanOrEqual(optimum)
      if (answer.proved) expect(answer.state.cost()).toBe(optimum)
    }
    expect(compared).toBeGreaterThan(6)
  })
})
