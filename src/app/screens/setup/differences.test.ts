import { describe, expect, it } from 'vitest'
import { STANDARD_TIMES } from '../../../chart/documents/standard-times.ts'
import { differences } from './differences.ts'

describe('what a new edition says otherwise', () => {
  it('is nothing when it says the same', () => {
    expect(differences(STANDARD_TIMES.defaults, structuredClone(STANDARD_TIMES.defaults))).toEqual([])
  })

  it('names the place, the old and the new', () => {
    const after = { ...STANDARD_TIMES.defaults, inUse: 'common', note: null }
    expect(differences(STANDARD_TIMES.defaults, after)).toEqual([
      { where: 'inUse', from: 'respiratory', to: 'common' },
      { where: 'note', from: 'Example times until the department adopts its own.', to: 'not set' },
    ])
  })

  it('finds an entry by its name, wherever it stands in the list', () => {
    const before = { rows: [{ code: 'BID', times: ['07:00', '19:00'] }] }
    const after = {
      rows: [
        { code: 'QD', times: ['09:00'] },
        { code: 'BID', times: ['08:00', '20:00'] },
      ],
    }
    expect(differences(before, after)).toEqual([
      { where: 'rows.BID.times', from: '07:00, 19:00', to: '08:00, 20:00' },
      { where: 'rows.QD', from: null, to: '{"code":"QD","times":["09:00"]}' },
    ])
  })

  it('loses no entry when two go by the same name', () => {
    const before = [{ id: 'a', n: 1 }]
    const after = [
      { id: 'a', n: 1 },
      { id: 'a', n: 2 },
    ]
    expect(differences(before, after)).toEqual([{ where: 'a (2)', from: null, to: '{"id":"a","n":2}' }])
  })

  it('tells a list that became empty, and null from a value', () => {
    expect(differences({ a: ['x'], b: 1 }, { a: [], b: null })).toEqual([
      { where: 'a', from: 'x', to: 'none' },
      { where: 'b', from: '1', to: 'not set' },
    ])
  })
})
