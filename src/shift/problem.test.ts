import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { QID_ALBUTEROL } from '../../test/support/facts.ts'
import { DAY, smallWard, Ward } from '../../test/support/shift-ward.ts'
import { documentsInForce } from '../chart/documents/documents-in-force.ts'
import { Chart } from '../chart/folds/chart.ts'
import { readFrequencyCode } from '../chart/timing/frequency-code.ts'
import { readShift, shiftSchema } from '../rounds/index.ts'
import { planNow } from './plan-now.ts'
import { problemOf } from './problem.ts'
import { notPlannedWords } from './words.ts'

const AT_START = DAY.from

describe('a problem from the record', () => {
  it('is a shift in the published format that the planner accepts as it stands', () => {
    const { shift } = problemOf(smallWard().asking(AT_START))
    expect(shiftSchema.parse(shift)).toEqual(shift)
    expect(readShift(shift).findings).toEqual([])
  })
  it('has everybody on shift, every dose due in it, and the base as where they start', () => {
    const { shift, notPlanned } = problemOf(smallWard().asking(AT_START))
    expect(shift.therapists.map(({ id }) => id)).toEqual(['amsel', 'birke'])
    expect(shift.therapists.map(({ start, end }) => [start, end])).toEqual(
      Array(2).fill([
        { unit: 'resp', time: 0 },
        { unit: 'resp', time: 720 },
      ]),
    )
    // QID at the standard times 07, 11, 15, 19; Q4H at 07, 11, 15: what is due at 19:00 is the night's.
    expect(shift.visits.map(({ patient, due }) => `${patient.slice(0, 2)} ${due}`).sort()).toEqual([
      'p1 0',
      'p1 240',
      'p1 480',
      'p2 0',
      'p2 240',
      'p2 480',
      'p3 0',
      'p3 240',
      'p3 480',
    ])
    expect(notPlanned).toEqual([])
  })
  it('asks for the sign-off of the unit', () => {
    const { shift } = problemOf(smallWard().asking(AT_START))
    expect(
      new Set(shift.visits.filter(({ patient }) => patient.startsWith('p3')).map(({ skill }) => skill)),
    ).toEqual(new Set(['intensive care']))
    expect(shift.therapists.map(({ skills }) => skills)).toEqual([['intensive care'], []])
  })
  it('takes longer where protective equipment is worn', () => {
    const { stays } = problemOf(smallWard().asking(AT_START))
    const total = (patientId: string) => stays.find((stay) => stay.patientId === patientId)?.minutes
    const [plain, contact] = [total('p1'), total('p2')]
    expect((contact?.handsOn ?? 0) - (plain?.handsOn ?? 0)).toBe(3)
    expect(plain?.runs[0]?.grounds.kind).toBe('forecast')
  })
  it('is the same whatever the order in which facts arrive', () => {
    const ward = smallWard()
    ward.visit(
      { patientId: 'p1', orderId: 'o1', visitId: 'v1' },
      DAY.from,
      'amsel',
      '2026-03-10T12:05:00.000Z',
      {
        startedAfter: 6,
        endedAfter: 15,
        signedAfter: 20,
      },
    )
    const now = '2026-03-10T13:00:00.000Z'
    const first = problemOf(ward.asking(now))
    fc.assert(
      fc.property(fc.shuffledSubarray(ward.facts, { minLength: ward.facts.length }), (facts) => {
        const documents = documentsInForce(facts, now).documents
        expect(problemOf({ chart: new Chart().add(facts), documents, now })).toEqual(first)
      }),
      { numRuns: 40 },
    )
  })
})

describe('what cannot be planned', () => {
  it('is named with the reason', () => {
    const ward = new Ward()
      .therapist('birke')
      .patient('p1', 'MICU')
      .order('o1', 'p1')
      .patient('p2', null)
      .order('o2', 'p2')
      .patient('p3', 'ROOF')
      .order('o3', 'p3')
      .patient('p4', '4WEST')
      .order('o4', 'p4', { frequency: null })
      .order('o5', 'p4', { medicines: QID_ALBUTEROL.medicines.map((line) => ({ ...line, amountMin: null })) })
    const { notPlanned, shift } = problemOf(ward.asking(AT_START))
    const why = (orderId: string) => [
      ...new Set(notPlanned.filter((each) => each.orderId === orderId).map((each) => each.why.kind)),
    ]
    expect(['o1', 'o2', 'o3', 'o4', 'o5'].map(why)).toEqual([
      ['nobody signed off'],
      ['place not known'],
      ['place not on the map'],
      ['no due times'],
      ['order incomplete'],
    ])
    expect(shift.visits).toEqual([])
  })
  it('names a dose that the change of clock sets on another, with what to do', () => {
    // Chicago, 14 March 2027: 02:00 to 03:00 does not exist (IANA time zone data, as the platform has it).
    const frequency = {
      ...readFrequencyCode('BID'),
      code: 'BID',
      standardTimes: false,
      statedTimes: ['02:30', '03:30'],
    }
    const ward = smallWard().patient('p4', '4WEST').order('o4', 'p4', { frequency })
    const { notPlanned } = problemOf(ward.asking('2027-03-14T06:00:00.000Z'))
    const decide = notPlanned.filter(({ why }) => why.kind === 'to be decided')
    expect(decide.map(({ orderId, doseAt }) => [orderId, doseAt])).toEqual([
      ['o4', '2027-03-14T08:30:00.000Z'],
    ])
    expect(decide.map((each) => notPlannedWords(each, (instant) => instant))).toEqual([
      '2027-03-14 02:30 does not exist in America/Chicago; moved on by 60 min it falls together with the dose at 2027-03-14 03:30: one dose stands there for two. Ask the prescriber or by department policy which doses to give that night.',
    ])
  })
  it('says that a dose was missed in this shift, and leaves those before to the shift before', () => {
    const { notPlanned } = problemOf(smallWard().asking('2026-03-10T16:30:00.000Z'))
    expect(notPlanned.map(({ orderId, doseAt, why }) => [orderId, doseAt, why.kind])).toEqual(
      ['o1', 'o2', 'o3'].map((orderId) => [orderId, DAY.from, 'missed']),
    )
  })
})

describe('a shift under way', () => {
  const about = { patientId: 'p1', orderId: 'o1', visitId: 'v1' }
  it('holds whoever is with a running treatment until it is charted, and where it runs', () => {
    const ward = smallWard().visit(about, DAY.from, 'amsel', '2026-03-10T12:05:00.000Z', { startedAfter: 6 })
    const problem = problemOf(ward.asking('2026-03-10T12:13:00.000Z'))
    const { running, shift } = problem
    const [amsel, birke] = planNow(problem, 1).standing.therapists
    expect(amsel?.unit).toBe('4west')
    expect(amsel?.freeAt).toBeGreaterThan(13)
    expect(birke?.done.filter(({ start }) => start < 13)).toEqual([])
    expect(running.map(({ phase, personId }) => [phase, personId])).toEqual([['running', 'amsel']])
    expect(shift.visits.filter(({ kind }) => kind === 'running')).toHaveLength(1)
  })
  it('keeps the distance to a dose that was given late', () => {
    const ward = smallWard().visit(about, DAY.from, 'amsel', '2026-03-10T13:30:00.000Z', {
      startedAfter: 6,
      endedAfter: 15,
      signedAfter: 20,
    })
    const { stays, begun } = problemOf(ward.asking('2026-03-10T14:00:00.000Z'))
    const next = stays.find(
      ({ patientId, dueAt }) => patientId === 'p1' && dueAt === '2026-03-10T16:00:00.000Z',
    )
    // Begun 13:36; QID at least 180 min apart: 16:36, though the window opened at 15:00.
    expect(next?.window.earliest).toBe('2026-03-10T16:36:00.000Z')
    expect(next?.narrowed).toEqual([
      { kind: 'gap since last', lastAt: '2026-03-10T13:36:00.000Z', gapMinutes: 180 },
    ])
    expect(begun[0]).toEqual([{ visit: `o1@${DAY.from}`, start: 90, end: 110 }])
  })
  it('plans a call from when its gap has passed, and no more once a visit has answered it', () => {
    const prn = {
      frequency: { code: 'PRNQ2H', everyMinutes: 120, standardTimes: false },
      prn: { reason: 'wheeze', minimumGapMinutes: 120 },
    }
    const ward = smallWard()
      .order('o9', 'p1', prn)
      .visit(about, DAY.from, 'amsel', '2026-03-10T12:05:00.000Z', {
        startedAfter: 6,
        endedAfter: 15,
        signedAfter: 20,
      })
    const call = ward
      .at('2026-03-10T13:00:00.000Z')
      .write(
        'call-received',
        { patientId: 'p1', orderId: 'o9' },
        { from: 'the nurse', need: 'now', note: '' },
      )
    const { stays } = problemOf(ward.asking('2026-03-10T13:01:00.000Z'))
    expect(stays.find(({ visit }) => visit === `o9@${call.id}`)).toMatchObject({
      priority: 1,
      window: { earliest: '2026-03-10T14:11:00.000Z', onTimeUntil: '2026-03-10T14:26:00.000Z' },
    })
    ward.visit({ patientId: 'p1', orderId: 'o9', visitId: 'v9' }, null, 'birke', '2026-03-10T14:12:00.000Z')
    const after = problemOf(ward.asking('2026-03-10T14:13:00.000Z'))
    expect(after.stays.filter(({ visit }) => visit.startsWith('o9'))).toEqual([])
    expect(after.running.map(({ personId }) => personId)).toEqual(['birke'])
  })
  it('plans nothing while a patient is away', () => {
    const ward = smallWard()
    ward
      .at('2026-03-10T12:30:00.000Z')
      .write(
        'patient-away',
        { patientId: 'p2' },
        { reason: 'imaging', expectedBackAt: '2026-03-10T14:00:00.000Z' },
      )
    const { day } = problemOf(ward.asking('2026-03-10T12:40:00.000Z'))
    expect(day.away).toEqual([{ patient: 'p2 o2', from: 30, until: 120 }])
  })
  it('gives doses of one patient that are due together in one stay, and keeps others from running at once', () => {
    const budesonide = QID_ALBUTEROL.medicines.map((line) => ({
      ...line,
      medicineId: 'budesonide',
      text: 'budesonide',
      amountMin: 0.5,
    }))
    const bid = {
      medicines: budesonide,
      frequency: { code: 'BID', timesPerDay: 2, statedTimes: ['07:00', '12:30'], standardTimes: false },
    }
    const ward = new Ward().therapist('amsel').patient('p1', '4WEST').order('o1', 'p1').order('o2', 'p1', bid)
    const { stays } = problemOf(ward.asking(AT_START))
    const named = stays.map(({ dueAt, doses }) => [dueAt.slice(11, 16), doses.map(({ orderId }) => orderId)])
    expect(named).toEqual([
      ['12:00', ['o1', 'o2']],
      ['16:00', ['o1']],
      ['17:30', ['o2']],
      ['20:00', ['o1']],
    ])
    const windows = stays.map(({ window, minutes }) => ({
      from: Date.parse(window.earliest),
      over: Date.parse(window.latest) + minutes.total * 60_000,
    }))
    for (const [at, { over }] of windows.entries()) {
      const next = windows[at + 1]
      if (next) expect(over).toBeLessThanOrEqual(next.from)
    }
  })
})
