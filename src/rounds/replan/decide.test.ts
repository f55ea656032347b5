import { describe, expect, it } from 'vitest'
import { checkDay } from '../../../test/planning/day-check.ts'
import { startedDay } from '../../../test/planning/living.ts'
import { type Day, promisesOf } from '../day.ts'
import { type Decision, DecisionRefused, decide } from './decide.ts'
import { repair } from './repair.ts'

const OPTIONS = { freezeMinutes: 10, seed: 1 }
const day = (): Day => startedDay('shifts/shift-04-k5-n100.json', 1)
const promised = (of: Day, visit: string) => promisesOf(of.schedule).find((item) => item.visit === visit)

/** Some visit after minute 100 that anybody may give. */
const someVisit = (of: Day) => {
  const list = promisesOf(of.schedule).filter((item) => item.start > 100)
  const found = list.find((item) => of.shift.visits.find((visit) => visit.id === item.visit)?.skill === null)
  if (found === undefined) throw new Error('the file has no such visit')
  return found
}

describe('a person decides', () => {
  it('puts a visit with somebody else and re-plans around it', () => {
    const before = day()
    const visit = someVisit(before)
    const therapist = before.shift.therapists.find((item) => item.id !== visit.therapist)?.id as string
    const after = decide(before, { kind: 'place', visit: visit.visit, therapist }, 60, OPTIONS)
    expect(promised(after.day, visit.visit)?.therapist).toBe(therapist)
    expect(after.changes.find((change) => change.visit === visit.visit)).toMatchObject({
      kind: 'other-therapist',
      reason: { kind: 'decision' },
      concerns: { therapists: [visit.therapist, therapist] },
    })
    expect(checkDay(after.day, 60).broken).toEqual([])
    const later = repair(
      after.day,
      { type: 'therapist-leaves', time: 70, therapist: visit.therapist },
      OPTIONS,
    )
    expect(promised(later.day, visit.visit)?.therapist).toBe(therapist)
  })

  it('puts a visit at a minute and keeps it there through what happens next', () => {
    const before = day()
    const visit = someVisit(before)
    const wanted = {
      kind: 'place',
      visit: visit.visit,
      therapist: visit.therapist,
      start: visit.start + 7,
    } as const
    const after = decide(before, wanted, 60, OPTIONS)
    expect(promised(after.day, visit.visit)).toEqual({
      visit: visit.visit,
      therapist: visit.therapist,
      start: visit.start + 7,
    })
    const running = after.day.schedule
      .find((item) => item.therapist === visit.therapist)
      ?.stops.findLast((stop) => stop.visit !== null && stop.start <= 65)?.visit as string
    const pushed = repair(after.day, { type: 'overrun', time: 65, visit: running, extraMinutes: 5 }, OPTIONS)
    expect(promised(pushed.day, visit.visit)?.start).toBe(visit.start + 7)
    expect(pushed.releasedPins).toEqual([])
  })

  it('tells when a pin cannot be kept, and gives up the minute before the therapist', () => {
    const before = day()
    const visit = someVisit(before)
    const pinned = decide(before, { kind: 'place', ...visit }, 60, OPTIONS)
    const patient = before.shift.visits.find((item) => item.id === visit.visit)?.patient as string
    const away = repair(
      pinned.day,
      { type: 'patient-away', time: 62, patient, from: visit.start - 5, until: visit.start + 8 },
      OPTIONS,
    )
    expect(away.releasedPins).toEqual([
      { visit: visit.visit, therapist: visit.therapist, start: visit.start },
    ])
    expect(away.day.pins).toEqual([{ visit: visit.visit, therapist: visit.therapist }])
    const left = repair(away.day, { type: 'therapist-leaves', time: 64, therapist: visit.therapist }, OPTIONS)
    expect(left.releasedPins).toEqual([{ visit: visit.visit, therapist: visit.therapist }])
    expect(left.day.pins).toEqual([])
  })

  it('hands a whole patient over, and lets a visit go again', () => {
    const before = day()
    const visit = someVisit(before)
    const patient = before.shift.visits.find((item) => item.id === visit.visit)?.patient as string
    const therapist = before.shift.therapists.find((item) => item.id !== visit.therapist)?.id as string
    const after = decide(before, { kind: 'hand-over', patient, therapist }, 0, OPTIONS)
    const hers = promisesOf(after.day.schedule).filter(
      (item) => item.start > 10 && before.shift.visits.find((v) => v.id === item.visit)?.patient === patient,
    )
    expect(hers.length).toBeGreaterThan(0)
    expect(new Set(hers.map((item) => item.therapist))).toEqual(new Set([therapist]))
    const free = decide(after.day, { kind: 'release', visit: visit.visit }, 5, OPTIONS)
    expect(free.day.pins.map((pin) => pin.visit)).not.toContain(visit.visit)
  })

  it.each<[string, (of: Day) => Decision, Partial<Day>?]>([
    ['unknown-visit', () => ({ kind: 'place', visit: 'V999', therapist: 'T1' })],
    ['unknown-visit', () => ({ kind: 'release', visit: 'V999' })],
    ['unknown-patient', () => ({ kind: 'hand-over', patient: 'P999', therapist: 'T1' })],
    ['unknown-therapist', (of) => ({ kind: 'place', visit: someVisit(of).visit, therapist: 'T99' })],
    [
      'therapist-has-left',
      (of) => ({ kind: 'place', visit: someVisit(of).visit, therapist: 'T2' }),
      { gone: ['T2'] },
    ],
    ['before-now', (of) => ({ kind: 'place', ...someVisit(of), start: 59 })],
    ['outside-window', (of) => ({ kind: 'place', ...someVisit(of), start: 719 })],
    [
      'has-begun',
      (of) => ({
        kind: 'place',
        ...(promisesOf(of.schedule).find((item) => item.start < 50) as { visit: string; therapist: string }),
      }),
    ],
  ])('refuses what cannot be: %s', (problem, decision, change = {}) => {
    const of = { ...day(), ...change }
    const refusal = refusalOf(() => decide(of, decision(of), 60, OPTIONS))
    expect(refusal.problem).toBe(problem)
    expect(refusal.message).toMatch(/; the plan in force is kept$/)
  })

  it('refuses a visit to somebody without the skill, or while the patient is away', () => {
    const of = day()
    const skilled = of.shift.visits.find((visit) => visit.skill !== null && visit.earliest > 100)
    const unable = of.shift.therapists.find((item) => !item.skills.includes(skilled?.skill ?? ''))
    const place = { kind: 'place', visit: skilled?.id ?? '', therapist: unable?.id ?? '' } as const
    expect(refusalOf(() => decide(of, place, 60, OPTIONS)).problem).toBe('skill-missing')
    const visit = someVisit(of)
    const patient = of.shift.visits.find((item) => item.id === visit.visit)?.patient as string
    const absent = { ...of, away: [{ patient, from: visit.start - 1, until: visit.start + 1 }] }
    expect(refusalOf(() => decide(absent, { kind: 'place', ...visit }, 60, OPTIONS)).problem).toBe(
      'patient-away',
    )
  })

  it('refuses a minute for which the therapist cannot have the time', () => {
    const of = day()
    const later = promisesOf(of.schedule).filter((item) => item.start > 100)
    const wants = (start: number, besides: string) =>
      of.shift.visits.find(
        (item) =>
          item.id !== besides && item.skill === null && item.earliest <= start && item.latest >= start,
      )
    const first = later.find((item) => wants(item.start + 1, item.visit) !== undefined)
    if (first === undefined) throw new Error('the file has no such pair')
    const pinned = decide(of, { kind: 'place', ...first }, 60, OPTIONS)
    const wanted = {
      kind: 'place',
      visit: wants(first.start + 1, first.visit)?.id ?? '',
      therapist: first.therapist,
      start: first.start + 1,
    } as const
    expect(refusalOf(() => decide(pinned.day, wanted, 60, OPTIONS)).problem).toBe('no-time')
  })
})

function refusalOf(work: () => unknown): DecisionRefused {
  try {
    work()
  } catch (error) {
    if (error instanceof DecisionRefused) return error
    throw error
  }
  throw new Error('nothing was refused')
}
