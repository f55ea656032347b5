import { describe, expect, it } from 'vitest'
import { columnAt } from '../floor/use-hand-drag.ts'
import { type Row, slotAt } from './use-thread-drag.ts'

const row = (id: string, top: number, movable = true): Row => ({ id, top, bottom: top + 100, movable })

describe('where something dragged would be let go', () => {
  const rows = [row('begun', 0, false), row('a', 100), row('b', 200), row('c', 300)]
  it.each([
    ['above the middle of a row, in front of it', 240, 2],
    ['below the middle, in front of the next', 260, 3],
    ['below the last, at the end', 900, 4],
    ['never in front of what may not move', -50, 1],
  ])('%s', (_, y, slot) => {
    expect(slotAt(rows, y)).toBe(slot)
  })
  it('has no slot to keep clear when nothing may move', () => {
    expect(slotAt([row('x', 0, false), row('y', 100, false)], 20)).toBe(0)
  })
  it('is the column under the pointer, or none', () => {
    const columns = [
      { id: 'amsel', left: 0, right: 100 },
      { id: 'birke', left: 100, right: 200 },
    ]
    expect([0, 99, 100, 200, -1].map((x) => columnAt(columns, x))).toEqual([
      'amsel',
      'amsel',
      'birke',
      null,
      null,
    ])
  })
})
