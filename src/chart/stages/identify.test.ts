import { describe, expect, it } from 'vitest'
import { QID_ALBUTEROL } from '../../../test/support/facts.ts'
import { foldPatient } from '../folds/patient.ts'
import { compareMedicine, comparePatient, type IdentifierSeen, type ProductInHand } from './identify.ts'

const patient = {
  ...foldPatient('p', []),
  mrn: 'MB004417',
  given: 'Tamsin',
  middle: 'R',
  family: 'O’Kónjo-Vale',
  dob: '1958-02-14',
  identifiers: [{ type: 'PI', value: '095011014560000112' }],
  place: { unit: '4EAST', room: '412', bed: 'A' },
}
const seen = (what: IdentifierSeen['what'], value: string): IdentifierSeen => ({ what, how: 'typed', value })

describe('the patient, by two identifiers (Joint Commission NPSG.01.01.01)', () => {
  it.each([
    ['name', 'tamsin okonjo vale'],
    ['name', 'Tamsin R O’Kónjo-Vale'],
    ['date of birth', '1958-02-14'],
    ['record number', 'MB004417'],
    ['wristband', '095011014560000112'],
    ['wristband', 'MB004417'],
  ] as const)('agrees on %s %s', (what, value) => {
    expect(comparePatient(patient, [seen(what, value)])).toEqual({ ok: true })
  })
  it.each([
    ['name', 'Tamsin Vale', 'Tamsin R O’Kónjo-Vale'],
    ['date of birth', '1958-02-15', '1958-02-14'],
    ['wristband', '095011014560000129', '095011014560000112'],
  ] as const)('names what differs: %s %s', (what, found, expected) => {
    expect(comparePatient(patient, [seen(what, found)])).toEqual({
      ok: false,
      differences: [{ what, expected, found }],
    })
  })
  it.each(['412', '412A', '4EAST 412'])('never takes the place %s for an identifier', (place) => {
    const compared = comparePatient(patient, [seen('wristband', place)])
    expect(compared.ok === false && compared.differences[0].what).toBe(
      'wristband (a room or bed number is not an identifier)',
    )
  })
  it('does not agree when nothing is known or nothing was said', () => {
    expect(comparePatient({ ...patient, dob: null }, [seen('date of birth', '1958-02-14')]).ok).toBe(false)
    expect(comparePatient(patient, [seen('name', '  ')]).ok).toBe(false)
  })
})

describe('the medicine in the hand', () => {
  const vial: ProductInHand = {
    productId: 'ALB25',
    medicineIds: ['albuterol'],
    text: 'albuterol 2.5 mg in 3 mL',
    strength: '2.5 mg/3 mL',
    route: 'inhalation',
    expiry: '2026-03-10',
  }
  const differs = (product: Partial<ProductInHand>, orderedStrength?: string) => {
    const compared = compareMedicine(QID_ALBUTEROL, { ...vial, ...product }, '2026-03-10', orderedStrength)
    return compared.ok ? [] : compared.differences.map(({ what }) => what)
  }
  it('is taken on its last day, and not the day after', () => {
    expect(differs({})).toEqual([])
    expect(differs({ expiry: '2026-03-09' })).toEqual(['expiry'])
    expect(differs({ expiry: null })).toEqual(['expiry'])
  })
  it('is refused when it is another medicine, holds more, or is for another route', () => {
    expect(differs({ medicineIds: ['ipratropium'] })).toEqual(['medicine'])
    expect(differs({ medicineIds: ['albuterol', 'ipratropium'] })).toEqual([
      'medicine (the container holds more than was ordered)',
    ])
    expect(differs({ route: 'intravenous' })).toEqual(['route'])
  })
  it('is refused when the order names another strength', () => {
    expect(differs({}, '1.25 mg/3 mL')).toEqual(['strength'])
    expect(differs({}, '2.5 mg/3 mL')).toEqual([])
  })
  it('names everything that differs at once', () => {
    expect(differs({ medicineIds: ['budesonide'], route: 'oral', expiry: '2020-01-01' })).toEqual([
      'medicine',
      'route',
      'expiry',
    ])
  })
})
