import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { BadInput } from '../../worked.ts'
import { defaultFormulary } from '../formulary/formulary.ts'
import { cyclePlace } from './cycle.ts'

const FIRST = Date.parse('2026-03-01T08:00:00Z')
const day = (days: number) => new Date(FIRST + days * 86_400_000).toISOString()
const place = (given: readonly number[], at: number) =>
  cyclePlace(defaultFormulary(), 'tobramycin', given.map(day), day(at))

/** Label of tobramycin inhalation solution: 28 days on, 28 days off. */
describe('the place in a course of 28 days on and 28 days off', () => {
  it.each([
    ['nothing given yet', [], 5, 'on', 1, 5],
    ['the first dose', [0], 0, 'on', 1, 0],
    ['the last moment of the 28 days', [0, 14], 27.999, 'on', 28, 0],
    ['the first moment after', [0, 14], 28, 'off', 29, 0],
    ['given on into the days off', [0, 20, 40, 60], 60, 'off', 61, 0],
    ['a pause a hair shorter than 28 days', [0, 20], 47.999, 'off', 48, 0],
    ['a pause of 28 days', [0, 20], 48, 'on', 1, 48],
    ['a new course on record', [0, 20, 50], 55, 'on', 6, 50],
    ['doses written down out of order', [14, 0, 7], 20, 'on', 21, 0],
    ['doses later than asked about', [0, 14, 90], 15, 'on', 16, 0],
  ] as const)('%s', (_, given, at, phase, ofCourse, from) => {
    expect(place(given, at)).toMatchObject({
      phase,
      day: ofCourse,
      courseFrom: day(from),
      onUntil: day(from + 28),
      offUntil: day(from + 56),
    })
  })
  it('says what it was counted from, and on which label', () => {
    const found = place([0, 14], 28)
    expect(found?.steps).toEqual([
      'first dose of this course: 2026-03-01T08:00:00.000Z',
      '2026-03-29T08:00:00.000Z is day 29; 28 days on, then 28 days off',
    ])
    expect(found?.sources.map(({ key }) => key)).toEqual(['TOB_LABEL5'])
  })
  it('is nothing for a drug that is not given in turns', () => {
    expect(cyclePlace(defaultFormulary(), 'albuterol', [day(0)], day(40))).toBeNull()
  })
  it('refuses an unknown drug and instants that cannot be read', () => {
    expect(() => cyclePlace(defaultFormulary(), 'snow', [], day(0))).toThrow(/^medicineId is snow/)
    expect(() => cyclePlace(defaultFormulary(), 'tobramycin', ['soon'], day(0))).toThrow(/^starts is soon/)
    expect(() => cyclePlace(defaultFormulary(), 'tobramycin', [], 'later')).toThrow(BadInput)
  })
  it('is on exactly within 28 days of the beginning, whatever was given when', () => {
    const days = fc.array(fc.integer({ min: 0, max: 400 }), { maxLength: 40 })
    fc.assert(
      fc.property(days, fc.integer({ min: 0, max: 400 }), (given, at) => {
        const found = place(given, at)
        const elapsed = (Date.parse(day(at)) - Date.parse(found?.courseFrom ?? '')) / 86_400_000
        expect(elapsed).toBeGreaterThanOrEqual(0)
        expect(found?.phase).toBe(elapsed < 28 ? 'on' : 'off')
        expect(found?.day).toBe(elapsed + 1)
      }),
      { seed: 28_028 },
    )
  })
})
