import { describe, expect, it } from 'vitest'
import { DAY, smallWard, type Ward } from '../../test/support/shift-ward.ts'
import { onTimeChances, readShift } from '../rounds/index.ts'
import { carryList } from './carry-list.ts'
import { floorView } from './floor-view.ts'
import { planFact } from './plan-fact.ts'
import { planNow, restOfShift } from './plan-now.ts'
import { problemOf } from './problem.ts'
import { promiseWords, roundView } from './round-view.ts'
import { Ways } from './ways.ts'

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

describe('what screens show', () => {
  const ward = smallWard()
  const { problem, repair, input } = planned(ward, DAY.from)
  const ways = new Ways(input.documents['hospital-map'].content)
  const chances = onTimeChances(repair.day, 0, [0, 0], { samples: 200, seed: 1, scatter: problem.scatter })
  const view = { ...input, problem, day: repair.day, ways, chances }

  it('is the thread of each person, with the way, the chance and why', () => {
    const amsel = roundView(view, 'amsel')
    const first = amsel?.stops[0]
    expect(first?.walk?.places[0]).toBe('resp')
    expect(first?.walk?.minutes).toBe((Date.parse(first?.startAt ?? '') - Date.parse(DAY.from)) / 60_000)
    expect(first?.why).toMatch(/^First on the way: \d+ min to walk\.$/)
    const visits = amsel?.stops.filter(({ kind }) => kind === 'visit') ?? []
    expect(visits.length).toBeGreaterThan(0)
    for (const { chance } of visits) expect(chance?.words).toMatch(/^.+ \(\d+ in 100\)$/)
    expect(roundView(view, 'nobody')).toBeNull()
  })
  it('is the floor: load by hour adds up to the minutes of each round', () => {
    const floor = floorView(view, repair.priced.dropped)
    expect(floor.promise).toBe('9 visits, all on time.')
    for (const round of floor.rounds) {
      const bedside = round.hours.reduce((sum, hour) => sum + hour.bedside, 0)
      const stays = round.stops.filter(({ kind }) => kind === 'visit')
      expect(bedside).toBe(stays.reduce((sum, { stay }) => sum + (stay?.minutes.total ?? 0), 0))
      expect(round.hours.reduce((sum, hour) => sum + hour.rest, 0)).toBe(30)
    }
  })
  it('is the promise in one sentence', () => {
    expect(promiseWords({ visits: 14, onTime: 13, late: 1, mostLateMinutes: 8 })).toBe(
      '14 visits, 13 on time, 1 late by 8 min.',
    )
    expect(promiseWords({ visits: 0, onTime: 0, late: 0, mostLateMinutes: 0 })).toBe('No visit left.')
  })
  it('is what to carry: amounts of all doses, one cup a patient, no gas that nobody has', () => {
    const list = carryList(problem.stays, input.chart, input.documents, DAY.from)
    const albuterol = list.medicines.find(({ text }) => text === 'albuterol')
    expect(albuterol).toMatchObject({ doses: 9, amount: 22.5, unit: 'mg' })
    expect(list.nebulizers.reduce((sum, { count }) => sum + count, 0)).toBe(3)
    expect(list.interfaces.reduce((sum, { count }) => sum + count, 0)).toBe(3)
    expect(list.unclear).toEqual([])
    for (const { cylinders, gas } of list.gases) if (gas === 'air') expect(cylinders).toEqual([])
  })
})
