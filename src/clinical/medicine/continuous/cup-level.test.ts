import { describe, expect, it } from 'vitest'
import { cupLevel, type FedCup } from './cup-level.ts'

const cup = (more: Partial<FedCup> = {}): FedCup => ({
  pumpMlPerH: 16,
  outputMlPerH: 16,
  startMl: 4,
  capacityMl: 18,
  ...more,
})

describe('cupLevel', () => {
  it('stays level when the pump gives what the cup puts out', () => {
    expect(cupLevel(cup())).toEqual({ kind: 'level' })
  })
  it('dries when the pump is slower', () => {
    expect(cupLevel(cup({ pumpMlPerH: 10, runsDryAtMl: 1 }))).toMatchObject({
      kind: 'dries',
      drift: { value: -6, unit: 'mL/h', steps: ['10 mL/h − 16 mL/h = -6 mL/h'] },
      after: {
        value: 0.5,
        unit: 'h',
        steps: ['10 mL/h − 16 mL/h = -6 mL/h', '3 mL ÷ 6 mL/h = 0.5 h until the cup dries'],
      },
    })
    expect(cupLevel(cup({ pumpMlPerH: 12 }))).toMatchObject({ kind: 'dries', after: { value: 1 } })
  })
  it('overflows when the pump is faster', () => {
    expect(cupLevel(cup({ pumpMlPerH: 20 }))).toMatchObject({
      kind: 'overflows',
      drift: { value: 4 },
      after: {
        value: 3.5,
        steps: ['20 mL/h − 16 mL/h = 4 mL/h', '14 mL ÷ 4 mL/h = 3.5 h until the cup overflows'],
      },
    })
  })
  it('starts anywhere between dry and full, ends included', () => {
    expect(cupLevel(cup({ startMl: 18, pumpMlPerH: 20 }))).toMatchObject({ after: { value: 0 } })
    expect(cupLevel(cup({ startMl: 1, runsDryAtMl: 1, pumpMlPerH: 10 }))).toMatchObject({
      after: { value: 0 },
    })
    expect(() => cupLevel(cup({ startMl: 18.1 }))).toThrow(
      'volume at the start is 18.1 mL; allowed: 0 to 18 mL',
    )
    expect(() => cupLevel(cup({ startMl: 0.9, runsDryAtMl: 1 }))).toThrow(/allowed: 1 to 18 mL/)
  })
  it.each([
    [{ pumpMlPerH: 0 }, /^pump speed is 0/],
    [{ outputMlPerH: 0 }, /^cup output is 0/],
    [{ capacityMl: 0 }, /^capacity of the cup is 0/],
    [{ startMl: -1 }, /^volume at the start is -1/],
    [{ runsDryAtMl: -1 }, /^volume at which it runs dry is -1/],
    [{ pumpMlPerH: 1e10 }, /^pump speed .* mL\/h$/],
    [{ outputMlPerH: 1e10 }, /^cup output .* mL\/h$/],
    [{ capacityMl: 1e10 }, /^capacity of the cup .* mL$/],
    [{ startMl: 1e10 }, /^volume at the start .* 1000000000 mL$/],
    [{ runsDryAtMl: 1e10 }, /^volume at which it runs dry .* mL$/],
  ] as const)('refuses %o', (more, message) => {
    expect(() => cupLevel(cup(more))).toThrow(message)
  })
})
