import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { EXACT, readJson } from '../../../test/planning/read.ts'
import { smallShift } from '../../../test/planning/small-shift.ts'
import { readShift } from '../check.ts'
import { compile } from '../compile.ts'
import { solveExactly } from '../exact/exact.ts'
import { constructed, improve } from '../improve.ts'
import { overloadText } from '../words.ts'
import { lowerBound } from './bound.ts'
import { excess, overloads } from './interval.ts'

const flatOf = (path: string) => compile(readShift(readJson(`${path}.json`)).shift).flat

/** A bound that may be searched for so many questions, and never says more than the value before it allows. */
function boundOf(flat: ReturnType<typeof flatOf>, questions: number) {
  const state = constructed(flat)
  improve(state, { seed: 1, effort: { iterations: 640 } })
  let asked = 0
  const known = state.routes().map((route) => route.filter((v) => v < flat.visits))
  const bound = lowerBound(flat, { known, stop: () => ++asked > questions })
  return { plan: state.cost(), bound }
}

describe('bounds no plan can be below', () => {
  it.each(EXACT)('never claims more than the proven optimum: exact/%s', (name) => {
    const flat = flatOf(`exact/${name}`)
    const optimum = solveExactly(flat)
    expect(optimum?.proved).toBe(true)
    const { bound } = boundOf(flat, 400)
    expect(bound.value).toBeGreaterThan(0)
    expect(bound.value).toBeLessThanOrEqual(optimum?.state.cost() as number)
  })

  it('never claims more than the optimum of a random small shift', () => {
    fc.assert(
      fc.property(smallShift, (shift) => {
        const { flat } = compile(readShift(shift).shift)
        const optimum = solveExactly(flat)
        if (optimum === null) throw new Error('the shift is not small')
        const { bound } = boundOf(flat, 60)
        expect(bound.value).toBeLessThanOrEqual(optimum.state.cost())
        for (const overload of bound.overloads) expect(excess(overload)).toBeGreaterThan(0)
      }),
      { numRuns: 60, seed: 20_261 },
    )
  })

  it('finds the overload of the overloaded shift, and says it', () => {
    const { shift } = readShift(readJson('shifts/shift-03-k3-n105-overload.json'))
    const [worst] = overloads(compile(shift).flat)
    expect(worst).toMatchObject({ from: 0, neededMinutes: 645, presentMinutes: 648 })
    // Counted by hand from the file: three therapists × 216 min; nobody's break must begin before minute 300.
    expect(worst?.presentMinutes).toBe(3 * 216)
    expect(overloadText(shift, worst as NonNullable<typeof worst>)).toMatch(
      /^Between \d\d:\d\d and \d\d:\d\d there are 3\d minutes too many: 645 minutes of visits and at least 3\d of walking to them must fall there, and the therapists have 648\.$/,
    )
  })

  it.each(['shift-01-k1-n12', 'shift-02-k2-n36', 'shift-04-k5-n100'])(
    'finds none where everything can be given on time: %s',
    (name) => {
      expect(overloads(flatOf(`shifts/${name}`))).toEqual([])
    },
  )

  it('finds the overload of the few who have a skill, though everybody together has time enough', () => {
    const { shift } = readShift(readJson('exact/exact-04.json'))
    const rare = {
      ...shift.visits[0],
      skill: 'rare',
      earliest: 0,
      onTimeUntil: 10,
      latest: 120,
      duration: 40,
    }
    const visits = shift.patients
      .slice(0, 2)
      .map((patient, i) => ({ ...rare, id: `R${i}`, patient: patient.id }))
    const therapists = shift.therapists.map((therapist, k) => ({
      ...therapist,
      skills: k === 0 ? ['rare'] : [],
    }))
    const changed = readShift({ ...shift, therapists, visits }).shift
    const [found] = overloads(compile(changed).flat)
    expect(found?.routes).toEqual([0])
    expect(found?.visits).toEqual([0, 1])
    expect(overloadText(changed, found as NonNullable<typeof found>)).toContain(
      `the therapists who may give them (${shift.therapists[0]?.id})`,
    )
  })
})
