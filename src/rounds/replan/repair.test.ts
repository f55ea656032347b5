import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { checkDay } from '../../../test/planning/day-check.ts'
import { type LivedDay, live, random as randomEvent, startedDay } from '../../../test/planning/living.ts'
import { readJson } from '../../../test/planning/read.ts'
import { readShift } from '../check.ts'
import { beginDay, type Day } from '../day.ts'
import { evaluate } from '../evaluate.ts'
import { EventRefused } from '../events.ts'
import type { Plan, Shift, ShiftEvent, Visit } from '../model.ts'
import { repair, repairToFacts } from './repair.ts'

const shiftOf = (path: string): Shift => readShift(readJson(path)).shift
const OPTIONS = { freezeMinutes: 10, seed: 1 }

/** exact-04: two therapists, eight visits, with its published optimal plan in force. */
const exact04 = (): Day => {
  const shift = shiftOf('exact/exact-04.json')
  const optima = readJson('exact/optima.json') as {
    instances: { instance: string; oneOptimalPlan: { sequence: { visit?: string }[] }[] }[]
  }
  const kept = optima.instances.find((item) => item.instance === 'exact-04')
  const routes =
    kept?.oneOptimalPlan.map((route) => route.sequence.map((stop) => stop.visit ?? 'break')) ?? []
  return beginDay(shift, evaluate(shift, { routes } as Plan).schedule)
}

const stopsOf = (day: Day) =>
  day.schedule.flatMap(({ therapist, stops }) => stops.map((stop) => ({ ...stop, therapist })))
const stopOf = (day: Day, visit: string) => stopsOf(day).find((stop) => stop.visit === visit)

describe('repairing a plan', () => {
  it('changes nothing when nothing bears on it', () => {
    const day = startedDay('shifts/shift-02-k2-n36.json', 1)
    const repaired = repairToFacts(day, { day, begun: day.schedule.map(() => []) }, 0, OPTIONS)
    expect(repaired.changes).toEqual([])
    expect(repaired.day.schedule).toEqual(day.schedule)
  })

  it('takes a cancelled visit out and does not bring the others forward without need', () => {
    const day = exact04()
    const last = day.schedule[0]?.stops.findLast((stop) => stop.visit !== null)?.visit as string
    const { changes, priced } = repair(day, { type: 'cancel-visit', time: 0, visit: last }, OPTIONS)
    expect(changes.map(({ visit, kind }) => [visit, kind])).toEqual([[last, 'cancelled']])
    expect(changes[0]?.concerns.patient).toBe(day.shift.visits.find((visit) => visit.id === last)?.patient)
    expect(priced.dropped).toEqual([])
  })

  it('gives a stat order to whoever can be there, and says that it is new', () => {
    const day = startedDay('shifts/shift-04-k5-n100.json', 1)
    const patient = day.shift.patients.find(
      (item) => !day.shift.visits.some((v) => v.patient === item.id && v.earliest < 300),
    )
    const used = patient ?? day.shift.patients[0]
    const visit = order(used?.id ?? '', 100)
    const away = {
      ...day,
      shift: { ...day.shift, visits: day.shift.visits.filter((v) => v.patient !== used?.id) },
    }
    const { day: after, changes } = repair(
      { ...away, schedule: withoutUnknown(away) },
      { type: 'new-visit', time: 100, visit },
      OPTIONS,
    )
    expect(stopOf(after, 'NEW')?.start).toBeLessThanOrEqual(visit.onTimeUntil + 5)
    expect(changes.find((change) => change.visit === 'NEW')).toMatchObject({
      kind: 'added',
      reason: { kind: 'new-visit' },
    })
  })

  it('opens a frozen dose of the same patient for a more urgent one, so that the gap is not closed', () => {
    const day = startedDay('shifts/shift-06-k12-n240.json', 1)
    const next = stopsOf(day)
      .filter((stop) => stop.visit !== null && stop.start >= 60 && stop.start < 68)
      .find((stop) => (day.shift.visits.find((v) => v.id === stop.visit)?.priority ?? 1) > 1)
    expect(next).toBeDefined()
    const patient = day.shift.visits.find((visit) => visit.id === next?.visit)?.patient as string
    const { day: after } = repair(day, { type: 'new-visit', time: 59, visit: order(patient, 59) }, OPTIONS)
    expect(stopOf(after, 'NEW')).toBeDefined()
  })

  it('says which dose closes the window of an order that no plan can give', () => {
    const day = exact04()
    const first = stopsOf(day).find((stop) => stop.visit !== null && stop.start > 0) as ReturnType<
      typeof stopOf
    >
    const given = day.shift.visits.find((visit) => visit.id === first?.visit) as Visit
    const now = (first?.start ?? 0) + 1
    const visit = { ...order(given.patient, now), due: given.due + 1, onTimeUntil: now + 5, latest: now + 10 }
    const { changes, priced } = repair(day, { type: 'new-visit', time: now, visit }, OPTIONS)
    expect(priced.dropped).toContain('NEW')
    expect(changes.find((change) => change.visit === 'NEW')).toMatchObject({
      kind: 'left-out',
      reason: { kind: 'gap-closed', visit: given.id },
    })
  })

  it('moves a visit of a patient who is away until he is back, and takes it up earlier when he comes sooner', () => {
    const day = startedDay('shifts/shift-02-k2-n36.json', 1)
    const stop = stopsOf(day).find((item) => item.visit !== null && item.start > 60) as {
      visit: string
      start: number
    }
    const patient = day.shift.visits.find((visit) => visit.id === stop.visit)?.patient as string
    const until = stop.start + 25
    const away = repair(day, { type: 'patient-away', time: 30, patient, from: 40, until }, OPTIONS)
    expect(stopOf(away.day, stop.visit)?.start ?? until).toBeGreaterThanOrEqual(until)
    const moved = away.changes.find((change) => change.visit === stop.visit)
    expect(moved?.reason).toEqual({ kind: 'patient-away', until })
    const back = repair(away.day, { type: 'patient-back', time: 45, patient }, OPTIONS)
    expect(back.day.away).toEqual([{ patient, from: 40, until: 45 }])
    expect(checkDay(back.day, 45).broken).toEqual([])
  })

  it('spreads the visits of somebody who leaves, and gives work to somebody who comes', () => {
    const day = startedDay('shifts/shift-04-k5-n100.json', 1)
    const left = repair(day, { type: 'therapist-leaves', time: 200, therapist: 'T1' }, OPTIONS)
    expect(
      left.day.schedule.find((item) => item.therapist === 'T1')?.stops.every((s) => s.start <= 200),
    ).toBe(true)
    const passed = left.changes.filter((change) => change.from?.therapist === 'T1')
    expect(passed.length).toBeGreaterThan(0)
    for (const change of passed) expect(change.reason.kind).toMatch(/therapist-left|gap-closed/)
    const model = day.shift.therapists[0] as Shift['therapists'][number]
    const fresh = { ...model, id: 'T9', start: { ...model.start, time: 0 }, break: null }
    const came = repair(left.day, { type: 'therapist-comes', time: 210, therapist: fresh }, OPTIONS)
    expect(came.day.shift.therapists.at(-1)?.start.time).toBe(210)
    expect(checkDay(came.day, 210).broken).toEqual([])
    expect(came.priced.total).toBeLessThanOrEqual(left.priced.total)
    const again = repair(came.day, { type: 'therapist-comes', time: 220, therapist: model }, OPTIONS)
    expect(again.ignored ?? again.day.gone.length).toBe(model.id === 'T1' ? 0 : 'she is here already')
  })

  it.each<[string, ShiftEvent]>([
    ['patient "P99" is not known', { type: 'patient-away', time: 5, patient: 'P99', from: 5, until: 9 }],
    ['patient "P99" is not known', { type: 'new-visit', time: 5, visit: order('P99', 5) }],
    ['visit "V99" is not known', { type: 'cancel-visit', time: 5, visit: 'V99' }],
    ['an overrun of -3 min is below zero', { type: 'overrun', time: 5, visit: 'V1', extraMinutes: -3 }],
    ['therapist "T99" is not known', { type: 'therapist-leaves', time: 5, therapist: 'T99' }],
  ])('refuses an event that cannot be: %s', (message, event) => {
    expect(() => repair(exact04(), event, OPTIONS)).toThrow(EventRefused)
    expect(() => repair(exact04(), event, OPTIONS)).toThrow(`${message}; the plan in force is kept`)
  })

  it('follows what has really been begun, not what the plan said', () => {
    const day = startedDay('shifts/shift-02-k2-n36.json', 1)
    const planned = day.schedule[0]?.stops.find((stop) => stop.visit !== null) as {
      visit: string
      start: number
    }
    const now = planned.start + 15
    const really = { visit: planned.visit, start: planned.start + 12, end: planned.start + 40 }
    const repaired = repairToFacts(day, { day, begun: [[really], []] }, now, OPTIONS)
    expect(repaired.day.schedule[0]?.stops[0]).toEqual(really)
    expect(repaired.day.schedule[0]?.stops[1]?.start).toBeGreaterThanOrEqual(really.end)
  })

  it.each<[string, number]>([
    ['exact/exact-05.json', 60],
    ['exact/exact-07.json', 60],
    ['shifts/shift-02-k2-n36.json', 15],
  ])(
    'never moves what is begun, frozen or pinned, and breaks no rule, over random days: %s',
    (path, numRuns) => {
      fc.assert(
        fc.property(fc.integer({ min: 1, max: 1_000_000 }), (seed) => {
          const lived: LivedDay = live(path, randomEvent(seed), seed, OPTIONS)
          expect(lived.moved).toEqual([])
          expect(lived.broken).toEqual([])
          expect(lived.misprized).toEqual([])
        }),
        { numRuns, seed: 20_261_125 },
      )
    },
  )
})

function order(patient: string, time: number): Visit {
  return {
    id: 'NEW',
    patient,
    kind: 'stat',
    priority: 1,
    skill: null,
    due: time,
    earliest: time,
    onTimeUntil: time + 15,
    latest: time + 60,
    duration: 10,
  }
}

function withoutUnknown(day: Day): Day['schedule'] {
  const known = new Set(day.shift.visits.map((visit) => visit.id))
  return day.schedule.map((item) => ({
    ...item,
    stops: item.stops.filter((stop) => stop.visit === null || known.has(stop.visit)),
  }))
}
