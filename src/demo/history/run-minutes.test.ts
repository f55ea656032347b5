import { describe, expect, it } from 'vitest'
import { calibrate, gasOf } from '../../clinical/aerosol/index.ts'
import { likelyRunMinutes, runMinutes } from './run-minutes.ts'
import { seeded } from './seeded.ts'

const FLOW = 8
const fills = [2, 2.5, 3, 3.5, 4, 5.5]

describe('runs of the invented hospital', () => {
  it('last as their fill makes them: the forecast in the middle, a tenth to each side', () => {
    const seeds = seeded(1)
    for (const fillMl of fills) {
      const logs = Array.from({ length: 2000 }, () =>
        Math.log(runMinutes(fillMl, 'oxygen', FLOW, seeds) / likelyRunMinutes(fillMl, 'oxygen', FLOW)),
      )
      const mean = logs.reduce((sum, each) => sum + each, 0) / logs.length
      const spread = Math.sqrt(logs.reduce((sum, each) => sum + (each - mean) ** 2, 0) / logs.length)
      expect(mean).toBeCloseTo(0, 1)
      expect(spread).toBeGreaterThan(0.085)
      expect(spread).toBeLessThan(0.115)
    }
  })

  it('teach a cup close to the published one, with some 0.8 to 1.4 mL left', () => {
    const seeds = seeded(7)
    const runs = Array.from({ length: 60 }, (_, i) => {
      const fillMl = fills[i % fills.length] ?? 3
      return {
        conditions: {
          fillMl,
          gas: gasOf('air'),
          flowLPerMin: FLOW,
          relativeHumidity: 0,
          roomCel: 22,
          pressurePa: 101_325,
        },
        ended: 'sputter' as const,
        minutes: runMinutes(fillMl, 'air', FLOW, seeds),
      }
    })
    const { sputterMl, scatter } = calibrate(runs)
    expect(sputterMl.likely).toBeGreaterThan(0.8)
    expect(sputterMl.likely).toBeLessThan(1.4)
    expect(scatter.likely).toBeGreaterThan(0.06)
    expect(scatter.likely).toBeLessThan(0.14)
  })

  it('refuses a fill that no forecast covers', () => {
    expect(() => runMinutes(0.5, 'air', FLOW, seeded(1))).toThrow(/fillMl is 0.5/)
  })
})
