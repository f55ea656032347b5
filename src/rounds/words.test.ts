import { describe, expect, it } from 'vitest'
import { readJson } from '../../test/planning/read.ts'
import { readShift } from './check.ts'
import {
  alternativeText,
  bindingText,
  chanceText,
  changeText,
  clockText,
  handsText,
  overloadText,
} from './words.ts'

const { shift } = readShift(readJson('exact/exact-04.json')) // its clock starts at 07:00
const none = { drop: 0, late: 0, isolation: 0, handover: 0, walk: 0, maxLoad: 0, reassign: 0, postpone: 0 }

describe('the plan in words', () => {
  it('tells minutes by the clock, over midnight too', () => {
    expect([0, 65, 17 * 60, -30].map((minute) => clockText(shift, minute))).toEqual([
      '07:00',
      '08:05',
      '00:00',
      '06:30',
    ])
  })

  it.each([
    [1, 'on time almost surely'],
    [0.97, 'on time in about 9 of 10 shifts'],
    [0.8, 'on time in about 8 of 10 shifts'],
    [0.02, 'on time in about 1 of 10 shifts'],
    [0, 'on time hardly ever'],
  ])('tells a chance of %f', (chance, text) => {
    expect(chanceText({ chance })).toBe(text)
  })

  it('tells an overload, and the hands that would end it', () => {
    const overload = {
      from: 60,
      until: 195,
      neededMinutes: 500,
      presentMinutes: 360,
      cost: 900,
      visits: [1, 2],
      walkingMinutes: 0,
      routes: shift.therapists.map((_, k) => k),
    }
    expect(overloadText(shift, overload)).toMatch(/^Between 08:00 and 10:15 there are 140 minutes too many/)
    const hands = { unit: 'A', from: 60, until: 180 }
    expect(handsText(shift, { ...hands, floors: [3, 4] })).toBe(
      'One more pair of hands on floors 3–4 from 08:00 to 10:00 would bring everything on time.',
    )
    expect(handsText(shift, { ...hands, floors: [3] })).toContain(' on floor 3 from ')
    expect(handsText(shift, { ...hands, floors: [] })).toContain('hands from 08:00')
  })

  it('tells why a visit is then', () => {
    const stop = { visit: 'V1', start: 0, end: 20 }
    expect(bindingText(shift, { kind: 'stop-before', stop, walk: 3 })).toBe(
      'The visit before (V1) lasts until 07:20, then it is 3 min to walk.',
    )
    expect(bindingText(shift, { kind: 'away', from: 0, until: 30 })).toBe('The patient is away until 07:30.')
    expect(bindingText(shift, { kind: 'gap', visit: 'V1', therapist: 'T1', gap: 90 })).toContain(
      '90 min between starts',
    )
  })

  it('tells a changed promise with its reason', () => {
    const change = {
      visit: 'V1',
      kind: 'later' as const,
      from: { therapist: 'T1', start: 60 },
      to: { therapist: 'T1', start: 80 },
      reason: { kind: 'patient-away' as const, until: 80 },
      concerns: { patient: 'P1', unit: 'A', therapists: ['T1'] },
    }
    expect(changeText(shift, change)).toBe(
      'V1 moves later, from 08:00 to 08:20: the patient is away until 08:20.',
    )
  })

  it('tells what another place costs and whom it makes late', () => {
    const pushed = [{ visit: 'V2', patient: 'P2', therapist: 'T2', byMinutes: 9, moreLateMinutes: 4 }]
    const place = { therapist: 'T2', start: 60, extraPoints: 30, extraParts: none, pushed }
    expect(alternativeText(shift, 'V1', place)).toBe(
      'V1 with T2 at 08:00 costs 30 points more and makes late: V2 by 4 min.',
    )
    expect(alternativeText(shift, 'V1', { ...place, extraPoints: -5, pushed: [] })).toBe(
      'V1 with T2 at 08:00 saves 5 points.',
    )
  })
})
