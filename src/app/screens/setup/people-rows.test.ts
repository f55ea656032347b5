import { describe, expect, it } from 'vitest'
import type { StaffState } from '../../../chart/folds/staff.ts'
import { peopleRows, presentOrNextShift } from './people-rows.ts'

const shift = (day: string) => ({
  from: `2026-11-${day}T13:00:00.000Z`,
  to: `2026-11-${day}T23:00:00.000Z`,
  units: ['4WEST'],
})
const known: StaffState = {
  personId: 'amsel',
  name: 'R. Amsel',
  role: 'therapist',
  signedOffFor: ['children'],
  active: true,
  shifts: [shift('24'), shift('25'), shift('26')],
}

describe('the people of the department', () => {
  it('are those of the record while the server has not answered', () => {
    expect(peopleRows(null, [known]).map(({ personId }) => personId)).toEqual(['amsel'])
  })

  it('have access as the server says, and sign-offs as the record says', () => {
    const listed = [{ personId: 'amsel', name: 'Rosa Amsel', role: 'lead', active: false }]
    expect(peopleRows(listed, [known])).toEqual([
      { ...known, name: 'Rosa Amsel', role: 'lead', active: false },
    ])
  })

  it('include those whom only one of the two knows, in the order of their names', () => {
    const listed = [{ personId: 'zorn', name: 'A. Zorn', role: 'learner', active: true }]
    const rows = peopleRows(listed, [known])
    expect(rows.map(({ name, signedOffFor }) => [name, signedOffFor])).toEqual([
      ['A. Zorn', []],
      ['R. Amsel', ['children']],
    ])
  })

  it('refuse a role that does not exist', () => {
    const listed = [{ personId: 'zorn', name: 'A. Zorn', role: 'wizard', active: true }]
    expect(() => peopleRows(listed, [])).toThrow()
  })
})

describe('the shift shown', () => {
  const [row] = peopleRows(null, [known])
  if (!row) throw new Error('no row')
  it('is the one that goes on, else the next, else none', () => {
    expect(presentOrNextShift(row, '2026-11-25T14:00:00.000Z')).toEqual(shift('25'))
    expect(presentOrNextShift(row, '2026-11-25T23:00:00.000Z')).toEqual(shift('26'))
    expect(presentOrNextShift(row, '2026-11-27T00:00:00.000Z')).toBeNull()
  })
})
