import { describe, expect, it } from 'vitest'
import { placeTicks } from './place-ticks.ts'

const place = (ticks: { at: number; words?: string }[], width: number, to = 10) =>
  placeTicks({ ticks, unit: 'min' }, (value) => 14 + (value / to) * (width - 28), width)

describe('words under ticks', () => {
  it('stay inside the picture at both ends, whatever their length', () => {
    for (const width of [300, 390, 640]) {
      for (const { middle, words } of place(
        [{ at: 0 }, { at: 10, words: 'first sputter, about 10 min' }],
        width,
      )) {
        const half = (words.length * 7.5) / 2
        expect((middle ?? 0) - half).toBeGreaterThanOrEqual(0)
        expect((middle ?? width) + half).toBeLessThanOrEqual(width)
      }
    }
  })

  it('stand in the middle under their tick where there is room', () => {
    const [tick] = place([{ at: 5 }], 600)
    expect(tick).toMatchObject({ words: '5 min', at: 300, middle: 300 })
  })

  it('leave a number out that would run into words, and keep its tick', () => {
    const placed = place([{ at: 0 }, { at: 5 }, { at: 6, words: 'first sputter, about 6 min' }], 390)
    expect(placed.map(({ words, middle }) => [words, middle !== null])).toEqual([
      ['first sputter, about 6 min', true],
      ['0 min', true],
      ['5 min', false],
    ])
    expect(placed[2]?.at).toBe(195)
  })
})
