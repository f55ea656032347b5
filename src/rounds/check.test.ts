import { describe, expect, it } from 'vitest'
import { readJson, SHIFTS } from '../../test/planning/read.ts'
import { type FindingKind, readShift, ShiftRefused } from './check.ts'
import { compile } from './compile.ts'
import { evaluate, pricedState } from './evaluate.ts'
import { constructed } from './improve.ts'
import type { Shift } from './model.ts'

const good = (): Shift => readShift(readJson('exact/exact-04.json')).shift

/** Reads a shift changed in one place and gives what was refused, or what was assumed. */
function findings(change: (shift: Shift) => unknown) {
  try {
    return readShift(change(structuredClone(good()))).findings
  } catch (error) {
    if (error instanceof ShiftRefused) return error.findings
    throw error
  }
}

const first = <T>(list: readonly T[], change: (item: T) => T): T[] =>
  list.map((item, i) => (i === 0 ? change(item) : item))

describe('reading a shift', () => {
  it.each(SHIFTS)('accepts %s without assumptions', (name) => {
    expect(readShift(readJson(`shifts/${name}.json`)).findings).toEqual([])
  })

  const refusals: [string, FindingKind, (shift: Shift) => unknown][] = [
    ['a field of the wrong kind', 'not-the-format', (s) => ({ ...s, horizon: 'long' })],
    ['a field that is not in the format', 'not-the-format', (s) => ({ ...s, colour: 'red' })],
    [
      'an unknown unit',
      'unknown-id',
      (s) => ({ ...s, patients: first(s.patients, (p) => ({ ...p, unit: 'U99' })) }),
    ],
    [
      'an unknown patient',
      'unknown-id',
      (s) => ({ ...s, visits: first(s.visits, (v) => ({ ...v, patient: 'P99' })) }),
    ],
    [
      'an unknown visit in the plan in force',
      'unknown-id',
      (s) => ({ ...s, previousPlan: [{ visit: 'V99', therapist: 'T1', start: 0 }] }),
    ],
    [
      'an unknown therapist in an event',
      'unknown-id',
      (s) => ({ ...s, events: [{ time: 5, type: 'therapist-leaves', therapist: 'T9' }] }),
    ],
    ['an id used twice', 'repeated-id', (s) => ({ ...s, visits: [...s.visits, s.visits[0]] })],
    [
      'negative minutes',
      'negative-number',
      (s) => ({ ...s, visits: first(s.visits, (v) => ({ ...v, duration: -1 })) }),
    ],
    ['a negative weight', 'negative-number', (s) => ({ ...s, weights: { ...s.weights, handover: -40 } })],
    ['a walking table that is not square', 'travel-not-square', (s) => ({ ...s, travel: s.travel.slice(1) })],
    [
      'a window out of order',
      'window-out-of-order',
      (s) => ({ ...s, visits: first(s.visits, (v) => ({ ...v, earliest: v.latest + 1 })) }),
    ],
    [
      'a shift that ends before it starts',
      'shift-ends-before-it-starts',
      (s) => ({ ...s, therapists: first(s.therapists, (t) => ({ ...t, start: { ...t.start, time: 500 } })) }),
    ],
  ]
  it.each(refusals)('refuses %s', (_, kind, change) => {
    const found = findings(change)
    expect(found.map((finding) => finding.kind)).toContain(kind)
    expect(found.every((finding) => finding.outcome === 'refused')).toBe(true)
    expect(found.every((finding) => finding.where !== '' && finding.consequence !== '')).toBe(true)
  })

  it('reports everything it finds, not only the first thing', () => {
    const found = findings((s) => ({
      ...s,
      patients: first(s.patients, (p) => ({ ...p, unit: 'U99' })),
      visits: first(s.visits, (v) => ({ ...v, duration: -1 })),
    }))
    expect(new Set(found.map((finding) => finding.kind))).toEqual(new Set(['unknown-id', 'negative-number']))
  })

  const assumptions: [string, FindingKind, (shift: Shift) => Shift][] = [
    [
      'nobody with the skill',
      'no-therapist-with-skill',
      (s) => ({ ...s, visits: first(s.visits, (v) => ({ ...v, skill: 'rare' })) }),
    ],
    [
      'a break outside the shift',
      'break-outside-shift',
      (s) => ({
        ...s,
        therapists: first(s.therapists, (t) => ({
          ...t,
          break: { unit: 'BASE', duration: 10, earliest: 130, latest: 140 },
        })),
      }),
    ],
    [
      'a way that is longer than a detour',
      'triangle-broken',
      (s) => ({ ...s, travel: s.travel.map((row, i) => row.map((m, j) => (i === 0 && j === 1 ? 60 : m))) }),
    ],
    [
      'a gap longer than the shift',
      'gap-longer-than-shift',
      (s) => ({
        ...s,
        patients: first(s.patients, (p) => ({ ...p, minGap: 600 })),
        visits: s.visits.map((v, i) => (i < 2 ? { ...v, patient: s.patients[0]?.id ?? '' } : v)),
      }),
    ],
    ['nobody on', 'no-therapists', (s) => ({ ...s, therapists: [] })],
    [
      'a visit longer than anybody is there',
      'no-time-for-visit',
      (s) => ({ ...s, visits: first(s.visits, (v) => ({ ...v, duration: 300 })) }),
    ],
    [
      'leaving out cheaper than being late',
      'weights-out-of-order',
      (s) => ({ ...s, weights: { ...s.weights, drop: [1, 1, 1, 1] as const } }) as Shift,
    ],
  ]
  it.each(assumptions)('plans in spite of %s, says so, and counts every visit', (_, kind, change) => {
    const { shift, findings: found } = readShift(change(structuredClone(good())))
    const told = found.filter((finding) => finding.kind === kind)
    expect(told.length).toBeGreaterThan(0)
    expect(told.every((finding) => finding.outcome === 'assumed' && finding.consequence !== '')).toBe(true)
    const compiled = compile(shift)
    const priced = pricedState(compiled, constructed(compiled.flat))
    const given = priced.schedule.flatMap((item) => item.stops).filter((stop) => stop.visit !== null)
    expect(given.length + priced.dropped.length).toBe(shift.visits.length)
    expect(evaluate(shift, priced.plan).total).toBe(priced.total)
  })
})
