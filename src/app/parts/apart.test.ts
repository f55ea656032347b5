import fc from 'fast-check'
import { expect, it } from 'vitest'
import { apart } from './apart.ts'

it('leaves alone what is far enough apart', () => {
  expect(apart([100, 10, 50], 17)).toEqual([100, 10, 50])
})

it('moves neighbors by as little as need be, around their middle', () => {
  expect(apart([50, 50], 20)).toEqual([40, 60])
  expect(apart([0, 100, 104], 10)).toEqual([0, 97, 107])
})

it('keeps the order and the gap for any labels', () => {
  fc.assert(
    fc.property(fc.array(fc.integer({ min: 0, max: 300 }), { maxLength: 12 }), (positions) => {
      const placed = apart(positions, 17)
      const sorted = positions
        .map((at, index) => ({ at, index, placed: placed[index] ?? Number.NaN }))
        .sort((a, b) => a.at - b.at || a.index - b.index)
      for (const [rank, label] of sorted.entries()) {
        const before = sorted[rank - 1]
        if (before) expect(label.placed - before.placed).toBeGreaterThanOrEqual(17 - 1e-9)
      }
    }),
  )
})
