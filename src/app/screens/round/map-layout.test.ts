import { describe, expect, it } from 'vitest'
import { type MapStop, mapLayout } from './map-layout.ts'

const UNITS = [
  { id: 'BASE', name: 'Base', short: 'x', floor: 1 },
  { id: 'A', name: 'Ward A', short: 'x', floor: 3 },
  { id: 'B', name: 'Ward B', short: 'x', floor: 3 },
]
const stop = (unit: string, index: number): MapStop => ({
  id: `v${index}`,
  unit,
  at: '10:00',
  place: unit,
  late: false,
})

describe('the cut through the building', () => {
  it('has the highest floor on top, and numbers the stops where they are made', () => {
    const layout = mapLayout(UNITS, ['A', 'B', 'A'].map(stop), 'BASE', 800)
    expect(layout.floors.map(({ floor }) => floor)).toEqual([3, 1])
    expect(layout.units.map(({ id, stops }) => [id, stops])).toEqual([
      ['A', [1, 3]],
      ['B', [2]],
      ['BASE', []],
    ])
    const [a, b, base] = layout.units
    expect(a?.y).toBe(b?.y)
    expect(Number(base?.y)).toBeGreaterThan(Number(a?.y))
    expect(Number(a?.x)).toBeLessThan(Number(b?.x))
  })

  it('draws one leg for each change of unit, and none for the next room', () => {
    const layout = mapLayout(UNITS, ['A', 'A', 'B'].map(stop), 'BASE', 800)
    expect(layout.legs.map(({ key }) => key)).toEqual(['0 BASE A', '1 A B'])
  })

  it('keeps every unit inside the picture, however narrow', () => {
    const { units } = mapLayout(UNITS, [], 'BASE', 320)
    for (const { x } of units) {
      expect(x).toBeGreaterThan(60)
      expect(x).toBeLessThan(320)
    }
  })
})
