import { expect, it } from 'vitest'
import { WINDOWS } from '../../../chart/documents/windows.ts'
import { sourceCount } from './source-count.ts'

it('counts sources by how well they stand, best first, and names no standing without one', () => {
  expect(sourceCount(WINDOWS.defaults.sources)).toBe(
    '5 sources: 2 read where quoted, 1 common practice, 2 own rule',
  )
  expect(sourceCount([{ key: 'a', cite: 'A', standing: 'verified' }])).toBe('1 source: 1 read in the source')
})
