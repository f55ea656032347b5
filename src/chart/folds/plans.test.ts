import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { TestWriter } from '../../../test/support/facts.ts'
import type { AnyFact, BodyOf } from '../registry.ts'
import { Chart } from './chart.ts'
import { foldPlans } from './plans.ts'
import { settleItems } from './settle.ts'

const SHIFT = 'shift-2026-03-10T12:00:00.000Z'
const NOW = '2026-03-10T15:00:00.000Z'

type Issue = Extract<AnyFact, { kind: 'plan-issued' }>

function plan(personId: string, startAt: string): BodyOf<'plan-issued'> {
  const doses = [{ orderId: 'o1', doseAt: '2026-03-10T16:00:00.000Z', callId: null }]
  return {
    from: '2026-03-10T12:00:00.000Z',
    to: '2026-03-11T00:00:00.000Z',
    basedOn: { planId: null, inPlaceOf: [], factsHash: 'a'.repeat(64), facts: 3 },
    because: { kind: 'start', factIds: [], words: '' },
    seed: 1,
    policyFact: null,
    routes: [
      { personId, stops: [{ kind: 'visit', visit: 'o1', patientId: 'p1', doses, startAt, endAt: startAt }] },
    ],
    leftOut: [],
    price: { total: 10, bound: null, proved: false },
  }
}

/** Gives plans out one after another, each a minute later, on the base that is named. */
function issuing(seed: number, personId = 'amsel') {
  const writer = new TestWriter('2026-03-10T12:00:00.000Z', seed, { personId, role: 'therapist' })
  let minute = 0
  return (
    base: Issue | null,
    to: string,
    startAt = '2026-03-10T15:30:00.000Z',
    inPlaceOf: Issue[] = [],
  ): Issue => {
    minute += 1
    writer.at = new Date(Date.parse('2026-03-10T12:00:00.000Z') + minute * 60_000).toISOString()
    const body = plan(to, startAt)
    const basedOn = { ...body.basedOn, planId: base?.id ?? null, inPlaceOf: inPlaceOf.map(({ id }) => id) }
    return writer.write('plan-issued', { shiftId: SHIFT }, { ...body, basedOn })
  }
}

describe('plans of a shift', () => {
  it('are in force one after the other', () => {
    const issue = issuing(1)
    const first = issue(null, 'amsel')
    const second = issue(first, 'birke')
    const folded = foldPlans(SHIFT, [first, second])
    expect(folded.inForce?.planId).toBe(second.id)
    expect(folded.plans.map(({ planId }) => planId)).toEqual([first.id, second.id])
    expect(folded.contested).toEqual([])
  })
  it('stand side by side when two devices follow the same one apart, and neither is chosen', () => {
    const first = issuing(1)(null, 'amsel')
    const here = issuing(2)(first, 'birke')
    const there = issuing(3, 'corvin')(first, 'corvin')
    const folded = foldPlans(SHIFT, [first, here, there])
    expect(folded.inForce).toBeNull()
    expect(new Set(folded.contested.map(({ planId }) => planId))).toEqual(new Set([here.id, there.id]))
    expect(folded.agreed?.planId).toBe(first.id)
    const [item] = settleItems(new Chart().add([first, here, there]), NOW)
    expect(item?.title).toBe('2 plans of one shift')
    expect(item?.sides?.map(({ personId }) => personId).toSorted()).toEqual(['amsel', 'corvin'])
  })
  it('are one again when a person chooses', () => {
    const first = issuing(1)(null, 'amsel')
    const here = issuing(2)(first, 'birke')
    const there = issuing(3)(first, 'corvin')
    const chosen = issuing(4)(here, 'birke', '2026-03-10T15:30:00.000Z', [there])
    const facts = [first, here, there, chosen]
    expect(foldPlans(SHIFT, facts).inForce?.planId).toBe(chosen.id)
    expect(settleItems(new Chart().add(facts), NOW)).toEqual([])
  })
  it('are no question when two devices made the very same one', () => {
    const first = issuing(1)(null, 'amsel')
    const here = issuing(2)(first, 'birke')
    const there = issuing(3, 'corvin')(first, 'birke')
    const folded = foldPlans(SHIFT, [first, here, there])
    expect(folded.contested).toEqual([])
    expect([here.id, there.id]).toContain(folded.inForce?.planId)
    const next = issuing(5)(there, 'dorn')
    expect(foldPlans(SHIFT, [first, here, there, next]).inForce?.planId).toBe(next.id)
  })
  it('tell two first plans apart, with nothing agreed', () => {
    const folded = foldPlans(SHIFT, [issuing(1)(null, 'amsel'), issuing(2)(null, 'birke')])
    expect([folded.inForce, folded.agreed, folded.contested.length]).toEqual([null, null, 2])
  })
  it('fold alike in any order, each fact once or twice', () => {
    const first = issuing(1)(null, 'amsel')
    const here = issuing(2)(first, 'birke')
    const further = issuing(6)(here, 'dorn')
    const there = issuing(3)(first, 'corvin')
    const same = issuing(4)(first, 'corvin')
    const pins = new TestWriter('2026-03-10T13:00:00.000Z', 9)
    const doses = [{ orderId: 'o1', doseAt: null, callId: first.id }]
    const pinned = pins.write(
      'visit-pinned',
      { shiftId: SHIFT, patientId: 'p1' },
      { visit: 'o1', doses, personId: 'amsel', startAt: null, why: '' },
    )
    const facts: AnyFact[] = [first, here, further, there, same, pinned]
    const expected = foldPlans(SHIFT, facts)
    expect(expected.contested.map(({ planId }) => planId)).toContain(further.id)
    expect(expected.agreed?.planId).toBe(first.id)
    fc.assert(
      fc.property(
        fc.array(fc.constantFrom(...facts), { maxLength: 6 }),
        fc.shuffledSubarray(facts, { minLength: 6 }),
        (twice, order) => {
          expect(foldPlans(SHIFT, [...order, ...twice])).toEqual(expected)
        },
      ),
    )
  })
})

describe('pins', () => {
  it('hold until they are taken off, the last word counting', () => {
    const writer = new TestWriter('2026-03-10T13:00:00.000Z', 4)
    const about = { shiftId: SHIFT, patientId: 'p1' }
    const doses = [{ orderId: 'o1', doseAt: '2026-03-10T16:00:00.000Z', callId: null }]
    const pin = (personId: string) =>
      writer.write('visit-pinned', about, {
        visit: 'o1',
        doses,
        personId,
        startAt: null,
        why: 'knows the family',
      })
    const first = pin('amsel')
    writer.at = '2026-03-10T13:05:00.000Z'
    const second = pin('birke')
    expect(foldPlans(SHIFT, [second, first]).pins.map(({ personId }) => personId)).toEqual(['birke'])
    writer.at = '2026-03-10T13:10:00.000Z'
    const off = writer.write('visit-unpinned', about, { visit: 'o1', doses, why: '' })
    expect(foldPlans(SHIFT, [off, second, first]).pins).toEqual([])
  })

  it('set without knowledge of each other stand side by side until somebody knows both', () => {
    const writer = new TestWriter('2026-03-10T13:00:00.000Z', 4)
    const about = { shiftId: SHIFT, patientId: 'p1' }
    const doses = [{ orderId: 'o1', doseAt: '2026-03-10T16:00:00.000Z', callId: null }]
    const pin = (personId: string, inPlaceOf: string[], at: string) => {
      writer.at = at
      const body = { visit: 'o1', doses, personId, startAt: null, why: '', inPlaceOf }
      return writer.write('visit-pinned', about, body)
    }
    const here = pin('amsel', [], '2026-03-10T13:00:00.000Z')
    const there = pin('birke', [], '2026-03-10T13:05:00.000Z')
    const apart = foldPlans(SHIFT, [there, here])
    expect(apart.pins.map(({ personId }) => personId)).toEqual(['birke'])
    expect(apart.pinsApart.map((pins) => pins.map(({ pinId }) => pinId))).toEqual([[here.id, there.id]])
    const same = pin('birke', [], '2026-03-10T13:06:00.000Z')
    expect(foldPlans(SHIFT, [there, same]).pinsApart).toEqual([])
    const settled = pin('amsel', [here.id, there.id], '2026-03-10T13:10:00.000Z')
    expect(foldPlans(SHIFT, [settled, there, here])).toMatchObject({
      pins: [{ personId: 'amsel' }],
      pinsApart: [],
    })
  })
})
