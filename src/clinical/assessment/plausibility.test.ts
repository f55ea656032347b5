import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { BadInput, OutsideValidity } from '../worked.ts'
import {
  defaultPlausibility,
  ENTRY_UNITS,
  type EntryField,
  PlausibilityDocument,
  plausible,
} from './plausibility.ts'

const FIELDS = Object.keys(ENTRY_UNITS) as EntryField[]

describe('the odd value is asked about, the usual one is not', () => {
  it.each([
    ['spo2Percent', 9, 60, false],
    ['spo2Percent', 70, 60, true],
    ['spo2Percent', 69, 60, false],
    ['spo2Percent', 101, 60, false],
    ['heartRatePerMin', 800, 60, false],
    ['heartRatePerMin', 200, 40, true],
    ['heartRatePerMin', 201, 40, false],
    ['heartRatePerMin', 181, 70, false],
    ['heartRatePerMin', 205, 0.5, true],
    ['respiratoryRatePerMin', 55, 5, true],
    ['respiratoryRatePerMin', 55, 40, false],
    ['temperatureCel', 98.6, 40, false],
    ['peakFlowLPerMin', 59, 40, false],
    ['peakFlowLPerMin', 60, 40, true],
    ['weightKg', 70, 4, false],
    ['heightCm', 1.75, 40, false],
    ['flowLPerMin', 8, null, true],
    ['flowLPerMin', 80, null, false],
    ['fio2Percent', 20, 40, false],
    ['fio2Percent', 21, 40, true],
  ] as const)('%s of %s at %s years: %s', (field, value, age, ok) => {
    expect(plausible(field, value, age).ok).toBe(ok)
  })
  it('asks with the value and says why, and changes nothing', () => {
    expect(plausible('spo2Percent', 9, 60)).toEqual({
      ok: false,
      low: 70,
      high: 100,
      question: 'SpO2 of 9 %: is that so?',
      why: 'It is below 70 %, the usual end of entry for the age.',
      sources: [expect.objectContaining({ key: 'PRACTICE' }), expect.objectContaining({ key: 'OXIMETER' })],
    })
    expect(plausible('heartRatePerMin', 800, null)).toMatchObject({
      question: 'Heart rate of 800 /min: is that so?',
      why: 'It is above 230 /min, the usual end of entry at any age.',
    })
    expect(plausible('dyspnea0To10', 11, 40)).toMatchObject({
      question: 'Breathlessness of 11: is that so?',
      why: 'It is above 10, the usual end of entry for the age.',
    })
    expect(plausible('heartRatePerMin', 90, 60)).toMatchObject({ ok: true, low: 30, high: 200 })
  })
  it('asks about more decimals than the measurement has', () => {
    expect(plausible('heartRatePerMin', 90.5, 60)).toMatchObject({
      ok: false,
      why: 'It is read as a whole number.',
    })
    expect(plausible('temperatureCel', 36.55, 60)).toMatchObject({ why: 'It is read as 1 decimal at most.' })
    expect(plausible('weightKg', 3.455, 0)).toMatchObject({ why: 'It is read as 2 decimals at most.' })
    for (const [field, value] of [['temperatureCel', 36.5] as const, ['weightKg', 3.45] as const]) {
      expect(plausible(field, value, 0).ok).toBe(true)
    }
  })
  it('without an age, the widest limits of any age serve', () => {
    expect(plausible('heartRatePerMin', 229, null)).toMatchObject({ ok: true, low: 30, high: 230 })
    expect(plausible('respiratoryRatePerMin', 6, null)).toMatchObject({ ok: true, low: 6, high: 90 })
  })
})

it.each(FIELDS)('%s: both ends at every age are taken, what lies beyond is asked about', (field) => {
  for (const { fromYears, low, high } of defaultPlausibility().fields[field].byAge) {
    expect([low, high].map((value) => plausible(field, value, fromYears).ok)).toEqual([true, true])
    expect([low - 1, high + 1].map((value) => plausible(field, value, fromYears).ok)).toEqual([false, false])
  }
})
it.each([Number.NaN, Infinity, -Infinity])('refuses %s, which is no value at all', (odd) => {
  for (const field of FIELDS)
    expect(() => plausible(field, odd, 40)).toThrow(`${field} is ${odd}; allowed: a finite`)
})
it('refuses a field that it does not know and an age that is none', () => {
  expect(() => plausible('mood' as EntryField, 5, 40)).toThrow('field is mood; allowed: heartRatePerMin, ')
  expect(() => plausible('mood' as EntryField, 5, 40)).toThrow(BadInput)
  for (const age of [-1, 121, Number.NaN])
    expect(() => plausible('spo2Percent', 97, age)).toThrow(OutsideValidity)
  expect(() => plausible('spo2Percent', 97, 130)).toThrow('ageYears is 130; allowed: 0 to 120 a')
})
it('never asks about what it would take without an age less strictly', () => {
  const entry = fc.record({
    field: fc.constantFrom(...FIELDS),
    value: fc.integer({ min: -20, max: 7000 }),
    age: fc.double({ min: 0, max: 120, noNaN: true }),
  })
  fc.assert(
    fc.property(entry, ({ field, value, age }) => {
      if (plausible(field, value, age).ok) expect(plausible(field, value, null).ok).toBe(true)
    }),
  )
})
describe('a department’s own limits', () => {
  const withEntry = (change: object) => {
    const { spo2Percent } = defaultPlausibility().fields
    const fields = { ...defaultPlausibility().fields, spo2Percent: { ...spo2Percent, ...change } }
    return PlausibilityDocument.safeParse({ ...defaultPlausibility(), fields })
  }
  const message = (change: object) => withEntry(change).error?.issues[0]?.message
  it('serve in place of the default', () => {
    const own = withEntry({ byAge: [{ fromYears: 0, low: 80, high: 100 }] }).data
    expect(own && plausible('spo2Percent', 79, 40, own).ok).toBe(false)
  })
  it('are refused when they are not sound', () => {
    expect(message({ unit: '1' })).toBe('spo2Percent is in %, not 1')
    expect(message({ byAge: [{ fromYears: 0, low: 100, high: 100 }] })).toBe(
      'spo2Percent: low end not below high end',
    )
    expect(message({ byAge: [{ fromYears: 1, low: 1, high: 100 }] })).toBe(
      'spo2Percent: ages start at 0 and rise',
    )
    const twice = { fromYears: 0, low: 1, high: 100 }
    expect(message({ byAge: [twice, twice] })).toBe('spo2Percent: ages start at 0 and rise')
    expect(message({ sources: ['HEARSAY'] })).toBe('source HEARSAY is not written down')
    expect(message({})).toBeUndefined()
  })
})
