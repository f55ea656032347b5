import { readFileSync } from 'node:fs'
import { expect, it } from 'vitest'
import { observationTable } from './observation-table.ts'
import { isInside, observations } from './observations.ts'

it('one set of figures meets every published observation', () => {
  const all = observations()
  expect(all.filter((observation) => !isInside(observation))).toEqual([])
  expect(all).toHaveLength(40)
})

it('an observation that is missed is told as missed', () => {
  const observation = { what: '', source: 'LIN_2007', published: { low: 1, high: 2 }, unit: '1' } as const
  expect(isInside({ ...observation, ours: { likely: 2.01 } })).toBe(false)
  expect(isInside({ ...observation, ours: { likely: 1.5, low: 1.2, high: 3 } })).toBe(false)
  expect(isInside({ ...observation, ours: { likely: Number.NaN } })).toBe(false)
})

it('the table in docs/models.md is what the model makes now', () => {
  expect(readFileSync('docs/models.md', 'utf8')).toContain(observationTable())
})
