import { describe, expect, it } from 'vitest'
import { TestWriter } from '../../../test/support/facts.ts'
import type { BodyOf } from '../registry.ts'
import { ageAt, foldPatient, fullName } from './patient.ts'

const ABOUT = { patientId: 'p' }
type Patch = BodyOf<'census-updated'>['patch']

function patientAfter(...patches: readonly [BodyOf<'census-updated'>['event'], Patch][]) {
  const writer = new TestWriter('2026-03-10T10:00:00.000Z', 5, { personId: 'feed', role: 'system' })
  const facts = patches.map(([event, patch], index) => {
    writer.at = `2026-03-10T1${index}:00:00.000Z`
    return writer.write('census-updated', ABOUT, { event, patch })
  })
  return foldPatient('p', facts.reverse())
}

describe('a patient', () => {
  it('keeps what a later message does not speak of, and loses what it takes away', () => {
    const patient = patientAfter(
      [
        'admitted',
        { mrn: '1', given: 'Tamsin', middle: 'R', weightKg: 71.4, isolation: ['DRP'], allergies: [] },
      ],
      ['updated', { middle: null, isolation: null }],
    )
    expect(patient).toMatchObject({
      mrn: '1',
      given: 'Tamsin',
      middle: null,
      weightKg: 71.4,
      isolation: [],
      allergies: [],
    })
  })
  it('tells "nobody has said" from "none known"', () => {
    expect(patientAfter(['admitted', { mrn: '1' }]).allergies).toBeNull()
  })
  it('gathers identifiers, each once', () => {
    const band = { type: 'PI', value: '8018' }
    const patient = patientAfter(
      ['admitted', { identifiers: [band] }],
      ['updated', { identifiers: [band, { type: 'MR', value: '2' }] }],
    )
    expect(patient.identifiers).toEqual([band, { type: 'MR', value: '2' }])
  })
  it('is discharged by the message, and admitted anew by the next', () => {
    const gone: [BodyOf<'census-updated'>['event'], Patch] = ['discharged', {}]
    expect(patientAfter(['admitted', { mrn: '1' }], gone).dischargedAt).toBe('2026-03-10T11:00:00.000Z')
    expect(patientAfter(['admitted', { mrn: '1' }], gone, ['admitted', { mrn: '1' }]).dischargedAt).toBeNull()
  })
  it('is read aloud by given, middle and family name', () => {
    expect(fullName({ given: 'Tam', middle: null, family: 'Vale' })).toBe('Tam Vale')
  })
})

describe('age', () => {
  it.each([
    ['2026-03-09', 1],
    ['2026-03-10', 0],
    ['1936-03-10', 32_872],
  ])('born %s is %i days on 10 March 2026', (dob, days) => {
    expect(ageAt(dob, '2026-03-10T10:00:00.000Z')?.days).toBe(days)
  })
  it('is unknown for no birth date and for one in the future', () => {
    expect([null, '2026-03-11'].map((dob) => ageAt(dob, '2026-03-10T10:00:00.000Z'))).toEqual([null, null])
  })
})
