import { describe, expect, it } from 'vitest'
import { DAY, smallWard, type Ward } from '../../test/support/shift-ward.ts'
import { planFact } from './plan-fact.ts'
import { planNow } from './plan-now.ts'
import { problemOf } from './problem.ts'
import { sinceThePlan } from './since-plan.ts'

const LATER = '2026-03-10T12:02:00.000Z'
const NOW = '2026-03-10T12:03:00.000Z'
const PRN = {
  frequency: { code: 'PRNQ2H', everyMinutes: 120, standardTimes: false },
  prn: { reason: 'wheeze', minimumGapMinutes: 120 },
}

function planned(ward: Ward, now: string) {
  const input = ward.asking(now)
  const problem = problemOf(input)
  return { input, problem, repair: planNow(problem, 1) }
}

/** A ward whose plan was given out at the start of the shift, and its writer a little later. */
function underPlan(ward = smallWard()): Ward {
  const { input, problem, repair } = planned(ward, DAY.from)
  const because = { kind: 'start' as const, factIds: [], words: '' }
  const making = { because, seed: 1, bound: null, proved: false, policyFact: null }
  ward
    .at(DAY.from)
    .write(
      'plan-issued',
      { shiftId: problem.span.shiftId },
      planFact(problem, repair.priced, input.chart, making),
    )
  return ward.at(LATER)
}

/** Changes that the plan of now makes to the plan given out, with what is said to be the reason. */
function changes(ward: Ward, now = NOW) {
  return planned(ward, now).repair.changes.map(({ visit, kind, reason }) => ({
    visit: visit.slice(0, 2),
    kind,
    reason: reason.kind,
  }))
}

const since = (ward: Ward, now = NOW) => {
  const { input, problem } = planned(ward, now)
  return sinceThePlan(input.chart, problem).map(({ kind }) => kind)
}

describe('what happened since the plan was given out', () => {
  it('is nothing while nothing happens, and what was there before is not among it', () => {
    const ward = underPlan()
    expect(since(ward)).toEqual([])
    expect(changes(ward)).toEqual([])
  })

  it('a call is planned at once, as something new', () => {
    const ward = underPlan(smallWard().order('o9', 'p1', PRN))
    ward.write(
      'call-received',
      { patientId: 'p1', orderId: 'o9' },
      { from: 'the nurse', need: 'now', note: '' },
    )
    expect(since(ward)).toEqual(['call-received'])
    expect(changes(ward)).toContainEqual({ visit: 'o9', kind: 'added', reason: 'new-visit' })
  })

  it('a call and the scheduled dose after it keep the shorter of their two distances, whichever comes first', () => {
    const ward = underPlan(smallWard().order('o9', 'p1', PRN))
    ward.write(
      'call-received',
      { patientId: 'p1', orderId: 'o9' },
      { from: 'the nurse', need: 'now', note: '' },
    )
    const gaps = planned(ward, NOW).problem.shift.patients.filter(({ id }) => id.startsWith('p1'))
    expect(gaps.map(({ minGap }) => minGap)).toEqual([120])
  })

  it('a visit begun that no plan knew is no change of a promise', () => {
    const ward = underPlan(smallWard().order('o9', 'p1', PRN))
    const begun = { patientId: 'p1', orderId: 'o9', visitId: 'v9' }
    ward.visit(begun, null, 'birke', LATER, { startedAfter: 6, endedAfter: 15, signedAfter: 20 })
    expect(changes(ward, '2026-03-10T12:30:00.000Z').filter(({ visit }) => visit === 'o9')).toEqual([])
  })

  it('a promised visit that somebody gives who is not on the shift is done, and breaks nothing', () => {
    const ward = underPlan()
    const begun = { patientId: 'p1', orderId: 'o1', visitId: 'v1' }
    ward.visit(begun, DAY.from, 'moor', LATER, { startedAfter: 6 })
    expect(changes(ward, '2026-03-10T12:10:00.000Z').filter(({ visit }) => visit === 'o1')).toEqual([])
  })

  it('a patient who left is the reason why the visit comes later, and being back is heard of too', () => {
    const ward = underPlan()
    ward.write(
      'patient-away',
      { patientId: 'p2' },
      { reason: 'imaging', expectedBackAt: '2026-03-10T13:10:00.000Z' },
    )
    expect(changes(ward)).toContainEqual({ visit: 'o2', kind: 'later', reason: 'patient-away' })
    ward.at('2026-03-10T12:05:00.000Z').write('patient-back', { patientId: 'p2' }, {})
    expect(since(ward, '2026-03-10T12:06:00.000Z')).toEqual(['patient-away', 'patient-back'])
    expect(changes(ward, '2026-03-10T12:06:00.000Z').map(({ reason }) => reason)).not.toContain(
      'patient-away',
    )
  })

  it('an order that was stopped calls its visits off', () => {
    const ward = underPlan()
    ward.write(
      'order-discontinued',
      { patientId: 'p1', orderId: 'o1' },
      { effectiveAt: LATER, reason: 'no longer needed' },
    )
    const off = changes(ward).filter(({ visit }) => visit === 'o1')
    expect(off.length).toBeGreaterThan(1)
    expect(new Set(off.map(({ kind }) => kind))).toEqual(new Set(['cancelled']))
    expect(since(ward)).toEqual(['order-discontinued'])
  })

  it('somebody who goes home, or will in an hour, is the reason why others take over', () => {
    for (const to of ['2026-03-10T12:02:30.000Z', '2026-03-10T13:00:00.000Z']) {
      const ward = underPlan()
      ward.write('shift-assigned', { personId: 'birke' }, { from: DAY.from, to, units: [] })
      const reasons = changes(ward).filter(({ kind }) => kind === 'other-therapist')
      expect(reasons.length).toBeGreaterThan(0)
      expect(new Set(reasons.map(({ reason }) => reason))).toEqual(new Set(['therapist-left']))
    }
  })

  it('somebody who comes is planned with from then on', () => {
    const ward = underPlan()
    ward.therapist('corvin', { from: '2026-03-10T13:00:00.000Z' })
    expect(since(ward)).toContain('shift-assigned')
    const { problem } = planned(ward, NOW)
    expect(problem.crew.map(({ personId, start }) => [personId, start])).toContainEqual(['corvin', 60])
  })

  it('a visit that runs on is the reason for itself, and for what comes after it', () => {
    const ward = underPlan()
    const first = planned(ward, NOW).problem.before.schedule.find(({ therapist }) => therapist === 'birke')
    const stop = first?.stops.find(({ visit }) => visit !== null)
    const orderId = stop?.visit?.slice(0, 2) ?? ''
    const patientId = orderId.replace('o', 'p')
    const begun = new Date(Date.parse(DAY.from) + (stop?.start ?? 0) * 60_000).toISOString()
    ward.visit({ patientId, orderId, visitId: 'v1' }, DAY.from, 'birke', begun, { startedAfter: 6 })
    const much = new Date(Date.parse(begun) + 240 * 60_000).toISOString()
    const late = changes(ward, much).filter(({ kind }) => kind === 'later' || kind === 'other-therapist')
    expect(late.map(({ reason }) => reason)).toContain('follows')
  })
})
