import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { type ContinuousSetup, continuousForecast, continuousMix, outputOf } from './continuous.ts'

const large: ContinuousSetup = {
  cup: { kind: 'large-volume' },
  fillMl: 200,
  concentrationMgPerMl: 0.4,
  pumpMlPerH: 0,
  capacityMl: 240,
  emptyAtMl: 10,
  hours: 4,
}

describe('hours of nebulization', () => {
  it('sends what strength and output say, at both ends of the published output', () => {
    const { sentMgPerH, hoursToEmpty, cautions } = continuousForecast(large)
    expect(sentMgPerH.low).toBeCloseTo(15.08, 9)
    expect(sentMgPerH.high).toBeCloseTo(22.16, 9)
    expect(hoursToEmpty.low).toBeCloseTo(190 / 55.4, 9)
    expect(cautions).toEqual([
      'The output of this kind differs by 47 % from cup to cup: measure this one.',
      'The cup may be empty before 4 h are over.',
    ])
  })
  it('a small cup with a pump that outruns it overflows; with one that lags it dries', () => {
    const small = {
      ...large,
      cup: { kind: 'small, pump-fed' as const },
      fillMl: 4,
      capacityMl: 18,
      emptyAtMl: 1,
    }
    const lagging = continuousForecast({ ...small, pumpMlPerH: 10 })
    expect(lagging.hoursToEmpty.likely).toBeCloseTo(3 / 5.88, 9)
    expect(lagging.hoursToOverflow.likely).toBe(Infinity)
    const outrun = continuousForecast({ ...small, pumpMlPerH: 20 })
    expect(outrun.hoursToEmpty.low).toBe(Infinity)
    expect(outrun.hoursToOverflow.low).toBeCloseTo(14 / 5, 9)
    expect(outrun.cautions.at(-1)).toMatch(/overflow before 4 h/)
  })
  it('a published fact: of 10 mg/h pumped into a small cup, 5.85 left as droplets (BERLINSKI_1998)', () => {
    const steady = continuousForecast({ ...large, cup: { outputMlPerH: 10 }, concentrationMgPerMl: 1 })
    expect(steady.dropletMgPerH.low).toBeLessThan(5.85)
    expect(steady.dropletMgPerH.high).toBeGreaterThan(5.85)
  })
  it('drug and diluent make the total, and carry the dose', () => {
    const above = fc.double({ min: 0.5, max: 20, noNaN: true })
    fc.assert(
      fc.property(above, fc.double({ min: 2, max: 10, noNaN: true }), above, (dose, stock, hours) => {
        const { drugMl, diluentMl, totalMl } = continuousMix(dose, stock, 45.96, hours)
        expect((drugMl + diluentMl) / totalMl).toBeCloseTo(1, 12)
        expect((drugMl * stock) / (dose * hours)).toBeCloseTo(1, 12)
      }),
    )
  })
  it.each<[() => unknown, RegExp]>([
    [() => continuousForecast({ ...large, fillMl: 250 }), /fillMl is 250; allowed: 10 to 240 mL/],
    [() => continuousForecast({ ...large, concentrationMgPerMl: 0 }), /concentrationMgPerMl is 0/],
    [() => continuousForecast({ ...large, pumpMlPerH: Number.NaN }), /pumpMlPerH is NaN/],
    [() => continuousForecast({ ...large, hours: Infinity }), /hours is Infinity/],
    [() => outputOf({ kind: 'bucket' as never }), /cup.kind is bucket; allowed: large-volume/],
    [() => outputOf({ outputMlPerH: -1 }), /cup.outputMlPerH is -1/],
    [() => continuousMix(100, 1, 45, 4), /stockMgPerMl is 1; allowed: at least 2.2/],
    [() => continuousMix(10, 0, 45, 4), /stockMgPerMl is 0/],
  ])('refuses %#', (ask, message) => {
    expect(ask).toThrow(message)
  })
})
