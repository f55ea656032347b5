import { describe, expect, it } from 'vitest'
import { DAY, smallWard, type Ward } from '../../test/support/shift-ward.ts'
import { readShift } from '../rounds/index.ts'
import { carryList } from './carry-list.ts'
import { planFact } from './plan-fact.ts'
import { planNow, restOfShift } from './plan-now.ts'
import { problemOf } from './problem.ts'

const MAKING = {
  because: { kind: 'start' as const, factIds: [], words: 'the shift begins' },
  seed: 1,
  bound: null,
  proved: false,
  policyFact: null,
}

/** Plans at an instant and gives the plan out. */
function issued(ward: Ward, now: string) {
  const { problem, repair, input } = planned(ward, now)
  const body = planFact(problem, repair.priced, input.chart, MAKING)
  ward.at(now).write('plan-issued', { shiftId: problem.span.shiftId }, body)
  return body
}

function planned(ward: Ward, now: string) {
  const input = ward.asking(now)
  const problem = problemOf(input)
  return { problem, repair: planNow(problem, 1), input }
}

describe('a plan given out', () => {
  it('gives every stay a place, with its times', () => {
    const body = issued(smallWard(), DAY.from)
    const visits = body.routes.flatMap(({ stops }) => stops.filter(({ kind }) => kind === 'visit'))
    expect(visits).toHaveLength(9)
    expect(body.leftOut).toEqual([])
    expect(body.routes.map(({ stops }) => stops.filter(({ kind }) => kind === 'break').length)).toEqual([
      1, 1,
    ])
  })
  it('is kept as it was promised while nothing happens', () => {
    const ward = smallWard()
    const first = issued(ward, DAY.from)
    const { repair, problem } = planned(ward, '2026-03-10T12:01:00.000Z')
    expect(problem.plan?.routes).toEqual(first.routes)
    expect(repair.changes).toEqual([])
  })
  it('is based on the plan before and on the facts known, and says another thing when more is known', () => {
    const ward = smallWard()
    const first = issued(ward, DAY.from)
    ward.at('2026-03-10T12:02:00.000Z').patient('p4', '3WEST').order('o4', 'p4')
    const second = issued(ward, '2026-03-10T12:03:00.000Z')
    expect(second.basedOn.planId).toBe(ward.facts.find(({ kind }) => kind === 'plan-issued')?.id)
    expect(second.basedOn.facts).toBeGreaterThan(first.basedOn.facts)
    expect(second.basedOn.factsHash).not.toBe(first.basedOn.factsHash)
  })
  it('shows what is new as added, and moves nothing that need not move', () => {
    const ward = smallWard()
    issued(ward, DAY.from)
    ward.at('2026-03-10T12:02:00.000Z').patient('p4', '3WEST').order('o4', 'p4')
    const { repair } = planned(ward, '2026-03-10T12:03:00.000Z')
    expect(
      repair.changes.filter(({ kind }) => kind === 'added').map(({ visit }) => visit.slice(0, 2)),
    ).toEqual(['o4', 'o4', 'o4'])
    expect(repair.changes.filter(({ kind }) => kind === 'left-out' || kind === 'cancelled')).toEqual([])
  })
  it('keeps a pinned visit with the person', () => {
    const ward = smallWard()
    const { problem } = planned(ward, DAY.from)
    const stay = problem.stays.find(({ patientId }) => patientId === 'p1')
    const doses = stay?.doses.map(({ orderId, doseAt, callId }) => ({ orderId, doseAt, callId })) ?? []
    for (const personId of ['amsel', 'birke']) {
      ward
        .at(personId === 'amsel' ? '2026-03-10T12:00:01.000Z' : '2026-03-10T12:00:02.000Z')
        .write(
          'visit-pinned',
          { shiftId: problem.span.shiftId, patientId: 'p1' },
          { visit: stay?.visit ?? '', doses, personId, startAt: null, why: '' },
        )
      const { repair } = planned(ward, '2026-03-10T12:00:30.000Z')
      const with_ = repair.day.schedule.find(({ stops }) => stops.some(({ visit }) => visit === stay?.visit))
      expect(with_?.therapist).toBe(personId)
    }
  })
})

describe('the rest of a shift for other programs', () => {
  it('is a problem of the published format that can be planned without findings', () => {
    const ward = smallWard()
    issued(ward, DAY.from)
    ward.visit(
      { patientId: 'p1', orderId: 'o1', visitId: 'v1' },
      DAY.from,
      'amsel',
      '2026-03-10T12:05:00.000Z',
      {
        startedAfter: 6,
      },
    )
    const rest = restOfShift(planned(ward, '2026-03-10T12:13:00.000Z').problem)
    expect(readShift(rest).findings).toEqual([])
    expect(rest.visits).toHaveLength(8)
    expect(rest.therapists[0]?.start.unit).toBe('4west')
  })
})

describe('what to carry', () => {
  const { problem, input } = planned(smallWard(), DAY.from)
  it('is amounts of all doses, one cup a patient, no gas that nobody has', () => {
    const list = carryList(problem.stays, input.chart, input.documents, DAY.from)
    const albuterol = list.medicines.find(({ text }) => text === 'albuterol')
    expect(albuterol).toMatchObject({ doses: 9, amount: 22.5, unit: 'mg' })
    expect(list.nebulizers.reduce((sum, { count }) => sum + count, 0)).toBe(3)
    expect(list.interfaces.reduce((sum, { count }) => sum + count, 0)).toBe(3)
    expect(list.unclear).toEqual([])
    for (const { cylinders, gas } of list.gases) if (gas === 'air') expect(cylinders).toEqual([])
  })
})
