import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { mixedByMinuteSteps, parcelStack } from '../../../bench/plain-breath.ts'
import { BREATHING_PATTERNS, breathOf, shareWithoutTube } from './breath.ts'
import { fullMixing, inhaledShare, plugFlow } from './reservoir.ts'

const adult = breathOf(BREATHING_PATTERNS['adult standard'])
const eightLPerMin = 8000 / 60

describe('closed forms against the same tube in minute steps', () => {
  const cases = [
    [adult, eightLPerMin, 50],
    [adult, 100, 150],
    [breathOf({ tidalMl: 500, ratePerMin: 15, inspiration: 1, expiration: 4 }), eightLPerMin, 100],
    [breathOf(BREATHING_PATTERNS.child), eightLPerMin, 30],
    [breathOf({ tidalMl: 300, ratePerMin: 30, inspiration: 1, expiration: 2 }), 70, 200],
    [breathOf(BREATHING_PATTERNS.neonate), eightLPerMin, 50],
  ] as const
  it.each(cases)('a stack of parcels, and a mixed tube (%o, %s mL/s, %s mL)', (breath, flow, tubeMl) => {
    const stack = parcelStack(breath, flow, tubeMl, { stepS: 0.0005, breaths: 12 })
    const mixed = mixedByMinuteSteps(breath, flow, tubeMl, { stepS: 0.0001, breaths: 30 })
    const plug = plugFlow(breath, flow, tubeMl)
    const full = fullMixing(breath, flow, tubeMl)
    expect(plug.cupMl / stack.cupMl).toBeCloseTo(1, 2.7)
    expect((plug.rebreathedMl - stack.rebreathedMl) / breath.tidalMl).toBeCloseTo(0, 3)
    expect(full.cupMl / mixed.cupMl).toBeCloseTo(1, 3)
    expect((full.rebreathedMl - mixed.rebreathedMl) / breath.tidalMl).toBeCloseTo(0, 3.3)
  })
})

const pattern = fc.record({
  tidalMl: fc.double({ min: 15, max: 1500, noNaN: true }),
  ratePerMin: fc.double({ min: 5, max: 80, noNaN: true }),
  inspiration: fc.double({ min: 1, max: 2, noNaN: true }),
  expiration: fc.double({ min: 1, max: 5, noNaN: true }),
})
const flow = fc.double({ min: 30, max: 200, noNaN: true })
const tube = fc.double({ min: 0, max: 500, noNaN: true })

describe('over the whole input space', () => {
  it('gas adds up to the breath, nothing is negative, and mixing never saves more than a plug', () => {
    fc.assert(
      fc.property(pattern, flow, tube, (shape, flowMlPerS, tubeMl) => {
        const breath = breathOf(shape)
        const plug = plugFlow(breath, flowMlPerS, tubeMl)
        const mixed = fullMixing(breath, flowMlPerS, tubeMl)
        for (const gas of [plug, mixed]) {
          expect((gas.cupMl + gas.rebreathedMl + gas.roomMl) / breath.tidalMl).toBeCloseTo(1, 9)
          expect(Math.min(gas.cupMl, gas.rebreathedMl, gas.roomMl)).toBeGreaterThanOrEqual(
            -1e-9 * breath.tidalMl,
          )
        }
        expect(mixed.cupMl).toBeLessThanOrEqual(plug.cupMl * (1 + 1e-6))
      }),
      { numRuns: 500 },
    )
  })
  it('a longer tube never wastes more, and no share passes one', () => {
    fc.assert(
      fc.property(pattern, flow, tube, tube, (shape, flowMlPerS, a, b) => {
        const breath = breathOf(shape)
        const [short, long] = [Math.min(a, b), Math.max(a, b)].map((ml) =>
          inhaledShare(breath, flowMlPerS, ml),
        )
        expect((long?.high ?? 0) - (short?.high ?? 0)).toBeGreaterThanOrEqual(-1e-9)
        expect(long?.high).toBeLessThanOrEqual(1 + 1e-9)
      }),
    )
  })
  it('no tube: both limits are the closed form without a tube', () => {
    fc.assert(
      fc.property(pattern, flow, (shape, flowMlPerS) => {
        const breath = breathOf(shape)
        const share = inhaledShare(breath, flowMlPerS, 0)
        expect(share.low).toBeCloseTo(shareWithoutTube(breath, flowMlPerS), 9)
        expect(share.high).toBeCloseTo(share.low, 9)
      }),
    )
  })
})

describe('refuses a breath that is none', () => {
  const good = BREATHING_PATTERNS['adult standard']
  it.each([
    ['tidalMl', 0],
    ['tidalMl', Number.NaN],
    ['ratePerMin', Infinity],
    ['inspiration', -1],
    ['expiration', 0],
    ['expiration', 100],
  ])('%s %s', (field, value) => {
    expect(() => breathOf({ ...good, [field]: value })).toThrow(/breath\./)
  })
})
