import { describe, expect, it } from 'vitest'
import { DAY, smallWard, Ward } from '../../test/support/shift-ward.ts'
import type { DocumentsInForce } from '../chart/documents/documents-in-force.ts'
import type { BodyOf } from '../chart/registry.ts'
import { planFact } from './plan-fact.ts'
import { planNow } from './plan-now.ts'
import { type ProblemInput, problemOf } from './problem.ts'
import { promiseLog } from './promise-log.ts'

const ABOUT = { patientId: 'p1', orderId: 'o1', visitId: 'v1' }
type Documents = DocumentsInForce['documents']

function under(input: ProblemInput, change: (documents: Documents) => Partial<Documents>): ProblemInput {
  return { ...input, documents: { ...input.documents, ...change(input.documents) } }
}

describe('who is on', () => {
  it('is everybody with a shift that overlaps this one, from when they come to when they go', () => {
    const ward = new Ward()
      .therapist('early', { from: '2026-03-10T08:00:00.000Z', to: '2026-03-10T16:00:00.000Z' })
      .therapist('night', { from: DAY.to, to: '2026-03-11T12:00:00.000Z' })
      .therapist('late', { from: '2026-03-10T18:00:00.000Z', to: '2026-03-11T02:00:00.000Z' })
      .therapist('learner', { role: 'learner', beside: 'early' })
    const { crew } = problemOf(ward.asking('2026-03-10T17:00:00.000Z'))
    expect(crew.map(({ personId, start, end, gone }) => [personId, start, end, gone])).toEqual([
      ['early', 0, 240, true],
      ['late', 360, 720, false],
    ])
  })
  it('reckons what a learner does as the time of whoever they work beside', () => {
    const ward = smallWard()
      .therapist('learner', { role: 'learner', beside: 'birke' })
      .visit(ABOUT, DAY.from, 'learner', '2026-03-10T12:05:00.000Z', { startedAfter: 6 })
    const { begun, shift } = problemOf(ward.asking('2026-03-10T12:15:00.000Z'))
    expect(shift.therapists.map(({ id }, k) => [id, begun[k]?.length])).toEqual([
      ['amsel', 0],
      ['birke', 1],
    ])
  })
  it('is bound to the units assigned where the policy makes that a rule', () => {
    const ward = new Ward()
      .therapist('amsel', { units: ['4WEST'] })
      .patient('p1', '4WEST')
      .order('o1', 'p1')
      .patient('p2', '3WEST')
      .order('o2', 'p2')
    const free = problemOf(ward.asking(DAY.from))
    expect(free.notPlanned).toEqual([])
    const bound = problemOf(
      under(ward.asking(DAY.from), ({ 'planning-policy': policy }) => {
        const { visits } = policy.content
        const content = { ...policy.content, visits: { ...visits, assignedUnits: 'a rule' as const } }
        return { 'planning-policy': { ...policy, content } }
      }),
    )
    expect(new Set(bound.notPlanned.map(({ orderId, why }) => `${orderId} ${why.kind}`))).toEqual(
      new Set(['o2 nobody signed off']),
    )
  })
})

describe('a therapist during a run', () => {
  const running = () =>
    smallWard().visit(ABOUT, DAY.from, 'amsel', '2026-03-10T12:05:00.000Z', { startedAfter: 6 })
  const NOW = '2026-03-10T12:13:00.000Z'
  it('stays until it is charted, by default', () => {
    const { stays, begun } = problemOf(running().asking(NOW))
    expect(stays.filter(({ finishes }) => finishes !== null)).toEqual([])
    expect(begun[0]?.[0]?.end).toBeGreaterThan(13)
  })
  it('may leave where the site allows it, and comes back at its end', () => {
    const problem = problemOf(
      under(running().asking(NOW), ({ site }) => ({
        site: {
          ...site,
          content: {
            ...site.content,
            mayLeaveDuringRun: { ...site.content.mayLeaveDuringRun, allowed: true },
          },
        },
      })),
    )
    const [finish] = problem.stays.filter(({ finishes }) => finishes === 'v1')
    expect(finish?.window.earliest).toBe(problem.running[0]?.runEndsAt)
    const { day } = planNow(problem, 1)
    const round = day.schedule.find(({ stops }) => stops.some(({ visit }) => visit === finish?.visit))
    expect(round?.therapist).toBe('amsel')
  })
})

describe('the break', () => {
  it('is no longer planned when its window is over and no plan promised one, and that is said', () => {
    const { assumed, shift } = problemOf(smallWard().asking('2026-03-10T20:00:00.000Z'))
    expect(assumed).toEqual(['amsel', 'birke'].map((personId) => ({ kind: 'break not recorded', personId })))
    expect(shift.therapists.map((therapist) => therapist.break)).toEqual([null, null])
  })
})

describe('the log of promises', () => {
  const issue = (ward: Ward, now: string, because: BodyOf<'plan-issued'>['because']) => {
    const input = ward.asking(now)
    const problem = problemOf(input)
    const body = planFact(problem, planNow(problem, 1).priced, input.chart, {
      because,
      seed: 1,
      bound: null,
      proved: false,
      policyFact: null,
    })
    ward.at(now).write('plan-issued', { shiftId: problem.span.shiftId }, body)
    return problem.span.shiftId
  }
  it('tells what a plan changed, why, and whom it concerns; what it kept it does not tell', () => {
    const ward = smallWard()
    issue(ward, DAY.from, { kind: 'start', factIds: [], words: '' })
    ward.at('2026-03-10T12:02:00.000Z').patient('p4', '3WEST')
    const order = ward
      .order('o4', 'p4', {
        frequency: { code: 'ONCE', once: true, standardTimes: false },
        startAt: '2026-03-10T18:00:00.000Z',
      })
      .facts.at(-1)
    const shiftId = issue(ward, '2026-03-10T12:03:00.000Z', {
      kind: 'event',
      factIds: [order?.id ?? ''],
      words: 'a new order',
    })
    const log = promiseLog(ward.chart().plans(shiftId), 10)
    expect(log.map(({ kind, patientId, because, from }) => [kind, patientId, because.words, from])).toEqual([
      ['added', 'p4', 'a new order', null],
    ])
    expect(log[0]?.concerns).toEqual([log[0]?.to?.personId])
  })
})
