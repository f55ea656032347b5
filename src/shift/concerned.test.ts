import { describe, expect, it } from 'vitest'
import { QID_ALBUTEROL, TestWriter } from '../../test/support/facts.ts'
import { SITE } from '../chart/documents/site.ts'
import { Chart } from '../chart/folds/chart.ts'
import type { AnyFact, BodyOf } from '../chart/registry.ts'
import { concernsFromElsewhere, plannedPatients, watchAt } from './concerned.ts'

const SITE_HERE = SITE.defaults
/** The day shift in Chicago, 07:00 to 19:00 on the wall, and the night after it. */
const [DAY, NIGHT, MORNING] = [
  '2026-03-10T12:00:00.000Z',
  '2026-03-11T00:00:00.000Z',
  '2026-03-11T12:00:00.000Z',
]
const NOW = '2026-03-10T15:40:00.000Z'
const YESTERDAY = '2026-03-09T15:00:00.000Z'
const writer = new TestWriter('2026-03-09T12:00:00.000Z')
const chartOf = (...facts: AnyFact[]) => new Chart().add(facts)
const watch = watchAt(new Chart(), SITE_HERE, NOW)

const person = (personId: string, active = true) =>
  writer.write(
    'staff-recorded',
    { personId },
    { name: personId, role: 'therapist', signedOffFor: [], active },
  )
const onShift = (personId: string, units: string[], from: string, to: string) =>
  writer.write('shift-assigned', { personId }, { from, to, units })

describe('the units of a shift', () => {
  it('are those of everybody assigned to it or to the next one, each once', () => {
    const chart = chartOf(
      ...['amsel', 'birke', 'gone'].map((id) => person(id, id !== 'gone')),
      onShift('amsel', ['9W', '5E'], DAY, NIGHT),
      onShift('birke', ['ICU', '5E'], NIGHT, MORNING),
      onShift('gone', ['LEFT'], DAY, NIGHT),
      onShift('birke', ['BEFORE'], '2026-03-10T00:00:00.000Z', DAY),
      onShift('amsel', ['AFTER'], MORNING, '2026-03-12T00:00:00.000Z'),
    )
    expect(watchAt(chart, SITE_HERE, NOW)).toEqual({
      now: NOW,
      shifts: [
        { shiftId: `shift-${DAY}`, from: DAY, to: NIGHT },
        { shiftId: `shift-${NIGHT}`, from: NIGHT, to: MORNING },
      ],
      units: ['5E', '9W', 'ICU'],
    })
  })

  it('are all units when nobody is assigned, or somebody without units', () => {
    expect(watch.units).toBeNull()
    expect(watchAt(chartOf(person('amsel')), SITE_HERE, NOW).units).toBeNull()
    const both = [person('amsel'), person('birke'), onShift('amsel', ['9W'], DAY, NIGHT)]
    expect(watchAt(chartOf(...both), SITE_HERE, NOW).units).toEqual(['9W'])
    const anywhere = onShift('birke', [], NIGHT, MORNING)
    expect(watchAt(chartOf(...both, anywhere), SITE_HERE, NOW).units).toBeNull()
  })
})

describe('a patient on none of the shift’s units', () => {
  const about = { patientId: 'p', orderId: 'o' }
  const visit = { ...about, visitId: 'v' }
  const census = (event: 'admitted' | 'discharged') =>
    writer.write('census-updated', { patientId: 'p' }, { event, patch: {} }, { happenedAt: YESTERDAY })
  const placed = (more: Partial<BodyOf<'order-placed'>['order']> = {}) =>
    writer.write('order-placed', about, {
      order: { ...QID_ALBUTEROL, startAt: YESTERDAY, ...more },
      channel: 'hand',
    })
  const stopped = writer.write('order-discontinued', about, { effectiveAt: YESTERDAY, reason: null })
  const opened = (at: string) => writer.write('visit-opened', visit, { doseAt: null }, { happenedAt: at })
  const ended = (at: string) =>
    writer.write(
      'dose-not-given',
      visit,
      { doseAt: null, reason: 'declined by patient', note: '', next: 'next dose as due', told: '' },
      { happenedAt: at },
    )
  const concerns = (...facts: AnyFact[]) => concernsFromElsewhere(chartOf(...facts), 'p', watch)

  it('concerns it with an order that is not over, while here', () => {
    expect(concerns(census('admitted'), placed())).toBe(true)
    expect(concerns(placed())).toBe(true)
    expect(concerns(census('admitted'), placed({ startAt: MORNING }))).toBe(true)
    const held = writer.write('order-held', about, { effectiveAt: YESTERDAY, reason: null })
    expect(concerns(placed(), held)).toBe(true)
  })

  it('does not concern it without an order, with one that is over, or once they have left', () => {
    expect(concerns(census('admitted'))).toBe(false)
    expect(concerns(placed(), stopped)).toBe(false)
    expect(concerns(placed({ endAt: '2026-03-10T15:00:00.000Z' }))).toBe(false)
    expect(concerns(census('discharged'), placed())).toBe(false)
  })

  it('concerns it with a visit that is open, however old, or of which the shift wrote something', () => {
    expect(concerns(placed(), stopped, opened(YESTERDAY))).toBe(true)
    expect(concerns(placed(), stopped, opened(YESTERDAY), ended(DAY))).toBe(true)
    expect(concerns(placed(), stopped, opened(YESTERDAY), ended('2026-03-10T11:59:59.000Z'))).toBe(false)
  })
})

describe('whoever has a place in the plan', () => {
  const dose = { orderId: 'o', doseAt: NOW, callId: null }
  const times = { startAt: NOW, endAt: NOW }
  const plan = (from: string, patientId: string, leftOut: string) =>
    writer.write(
      'plan-issued',
      { shiftId: `shift-${from}` },
      {
        from,
        to: NIGHT,
        basedOn: { planId: null, inPlaceOf: [], factsHash: 'a'.repeat(64), facts: 1 },
        because: { kind: 'start', factIds: [], words: '' },
        seed: 1,
        policyFact: null,
        routes: [
          {
            personId: 'amsel',
            stops: [
              { kind: 'visit', visit: `${patientId}-1`, patientId, doses: [dose], ...times },
              { kind: 'break', ...times },
            ],
          },
        ],
        leftOut: [{ visit: `${leftOut}-1`, patientId: leftOut, doses: [dose] }],
        price: { total: 0, bound: null, proved: false },
      },
    )
  const pinned = (from: string, patientId: string) =>
    writer.write(
      'visit-pinned',
      { shiftId: `shift-${from}`, patientId },
      { visit: `${patientId}-1`, doses: [dose], personId: 'amsel', startAt: null, why: '' },
    )

  it('is found by visit, by what was left out and by pin, in this shift and the next, and in no other', () => {
    const chart = chartOf(
      plan(DAY, 'planned', 'left-out'),
      plan(NIGHT, 'tonight', 'left-out-tonight'),
      plan(YESTERDAY, 'yesterday', 'long-ago'),
      pinned(NIGHT, 'pinned'),
      pinned(MORNING, 'tomorrow'),
    )
    const found = [...plannedPatients(chart, watch)].sort()
    expect(found).toEqual(['left-out', 'left-out-tonight', 'pinned', 'planned', 'tonight'])
    expect(plannedPatients(new Chart(), watch).size).toBe(0)
  })
})
