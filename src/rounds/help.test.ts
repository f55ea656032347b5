import { describe, expect, it } from 'vitest'
import { pricePlainly } from '../../test/planning/evaluator.ts'
import { readJson } from '../../test/planning/read.ts'
import { readShift } from './check.ts'
import { evaluate } from './evaluate.ts'
import {
  conversionsNeeded,
  extraHandsNeeded,
  FULL_SERVICE,
  type HelpOptions,
  meets,
  withHands,
} from './help.ts'
import { leanCrew } from './lean-crew.ts'
import type { Plan, Shift } from './model.ts'
import { type StaffingCurve, staffingCurve } from './staffing.ts'
import { conversionsText, handsText } from './words.ts'

const overload = readShift(readJson('shifts/shift-03-k3-n105-overload.json')).shift
const kept = evaluate(overload, readJson('shifts/plans/shift-03-k3-n105-overload.json') as Plan)
const options: HelpOptions = {
  seed: 1,
  iterations: 120,
  level: FULL_SERVICE,
  skills: ['airway', 'trach', 'vent'],
}
const skills = [...new Set(overload.visits.flatMap((visit) => (visit.skill === null ? [] : [visit.skill])))]

describe('the smallest help that fixes an overload', () => {
  it('names hands by hour and floor, with a plan that keeps the level by the plain evaluator', () => {
    expect(meets(kept, FULL_SERVICE)).toBe(false)
    const found = extraHandsNeeded(overload, kept, {
      ...options,
      skills,
      level: { ...FULL_SERVICE, lateMinutes: 60 },
    })
    expect(found).not.toBeNull()
    if (found === null) return
    const { help, plan } = found
    expect(plan.lateMinutes).toBeLessThanOrEqual(60)
    expect(plan.dropped).toEqual([])
    const plain = pricePlainly(withHands(overload, help, skills), plan.plan.routes)
    expect(plain.broken).toEqual([])
    expect(plain.parts).toEqual(plan.parts)
    const floors = new Map(overload.units.map((unit) => [unit.id, unit.floor]))
    const hers = plan.plan.routes.at(-1)?.map((id) => {
      const patient = overload.visits.find((visit) => visit.id === id)?.patient
      return floors.get(overload.patients.find((item) => item.id === patient)?.unit ?? '')
    })
    expect(new Set(help.floors)).toEqual(new Set(hers))
    expect(handsText(overload, help)).toMatch(
      /^One more pair of hands on floors? \d+(–\d+)? from \d\d:\d\d to \d\d:\d\d would bring everything on time\.$/,
    )
  }, 90_000)

  it('asks for nobody where the level is kept already, and stops when told', () => {
    const level = { lateMinutes: kept.lateMinutes, dropped: kept.droppedByPriority }
    const none = conversionsNeeded(overload, [], {
      ...options,
      iterations: 400,
      level: { ...level, lateMinutes: 5000, dropped: [9, 9, 9, 9] },
    })
    expect(none?.help).toEqual([])
    expect(conversionsText([])).toBe('Nothing needs to be given in another form.')
    expect(extraHandsNeeded(overload, kept, { ...options, stop: () => true })).toBeNull()
  })

  it('takes out the fewest convertible visits it finds that bring the level, and only such', () => {
    const shift = crowded()
    const convertible = ['C1', 'C2', 'C3']
    const found = conversionsNeeded(shift, convertible, options)
    // three visits of 30 min in one half-hour window and one therapist: one fits, two must go
    expect(found?.help).toHaveLength(2)
    for (const visit of found?.help ?? []) expect(convertible).toContain(visit)
    expect(conversionsText(found?.help ?? [])).toMatch(
      /^These 2 doses given in another form, .* would bring everything on time: C\d; C\d\. Ask the prescriber\.$/,
    )
    expect(conversionsNeeded(shift, ['C1'], options)).toBeNull()
  })
})

describe('how many therapists a day needs', () => {
  it('finds the least crew by a curve that ends at the level', () => {
    const curve = staffingCurve(crowded(), 5, options)
    expect(curve?.crew).toBe(3)
    expect(curve?.points.map((point) => point.crew)).toEqual([
      ...new Set(curve?.points.map((point) => point.crew)),
    ])
    for (const point of curve?.points.slice(0, -1) ?? [])
      expect(point.lateMinutes + point.droppedByPriority.reduce((a, b) => a + b, 0)).toBeGreaterThan(0)
    expect(curve?.points.at(-1)).toMatchObject({ crew: 3, lateMinutes: 0, droppedByPriority: [0, 0, 0, 0] })
    const hour = curve?.hours[0]
    expect(hour?.busy).toBeCloseTo(1.5, 9) // three visits of 30 minutes in the first hour
    expect(hour?.atLeast).toBe(2)
    expect(staffingCurve(crowded(), 2, options)).toBeNull()
    expect(curve?.hours.map(({ enough }) => enough)).toEqual([3, 0]) // all three begin within five minutes, then nothing
  })

  it('cuts shifts to the hours that are worked in, and keeps room for every break', () => {
    const shift = readShift(readJson('shifts/shift-02-k2-n36.json')).shift
    const curve = staffingCurve(shift, 4, { ...options, iterations: 300 })
    if (curve === null) throw new Error('no crew was found')
    const { shift: cut, plan } = curve.lean
    const minutes = (of: Shift) =>
      of.therapists.reduce((sum, { start, end }) => sum + end.time - start.time, 0)
    expect(minutes(cut)).toBeLessThan(minutes(shift) * (curve.crew / 2))
    expect(minutes(cut)).toBe(60 * curve.hours.reduce((sum, { enough }) => sum + enough, 0))
    expect(meets(plan, FULL_SERVICE)).toBe(true)
    const plain = pricePlainly(cut, plan.plan.routes)
    expect([plain.broken, plain.total]).toEqual([[], plan.total])
    expect(cut.therapists.filter(({ break: rest }) => rest !== null)).toHaveLength(curve.crew)
    for (const { busy, enough } of curve.hours) expect([busy, enough].every(Number.isFinite)).toBe(true)
  })

  it('cuts nothing once it is stopped', () => {
    const curve = staffingCurve(crowded(), 3, options) as StaffingCurve
    const whole = { shift: curve.lean.shift, plan: curve.lean.plan }
    const later = {
      ...whole.shift,
      therapists: whole.shift.therapists.map((one) => ({ ...one, end: { ...one.end, time: 120 } })),
    }
    expect(leanCrew({ ...whole, shift: later }, { ...options, stop: () => true }).shift).toEqual(later)
    expect(leanCrew({ ...whole, shift: later }, options).shift).toEqual(whole.shift)
  })
})

/** One therapist, three visits of 30 minutes that must all begin within minutes 0 to 5. */
function crowded(): Shift {
  const base = readShift(readJson('exact/exact-01.json')).shift
  const patients = base.patients
    .slice(0, 3)
    .map((patient) => ({ ...patient, unit: base.units[0]?.id as string }))
  const visits = patients.map((patient, i) => ({
    ...(base.visits[0] as Shift['visits'][number]),
    id: `C${i + 1}`,
    patient: patient.id,
    skill: null,
    due: 0,
    earliest: 0,
    onTimeUntil: 5,
    latest: 5,
    duration: 30,
  }))
  const therapist = base.therapists[0] as Shift['therapists'][number]
  const at = (time: number) => ({ unit: base.units[0]?.id as string, time })
  return {
    ...base,
    horizon: 120,
    patients,
    visits,
    therapists: [{ ...therapist, start: at(0), end: at(120), break: null }],
    events: [],
  }
}
