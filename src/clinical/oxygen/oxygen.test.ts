import fc from 'fast-check'
import ashrae from 'psychrolib'
import { describe, expect, it } from 'vitest'
import { parcelStack } from '../../../bench/plain-breath.ts'
import { BREATHING_PATTERNS, breathOf } from '../aerosol/index.ts'
import { barometricPressure, inspiredOxygenPressure, shareForSeaLevel } from './altitude.ts'
import { afterRun, cylinderMinutes, METRIC_WATER_L, US_SIZES } from './cylinder.ts'
import { HELIOX_MIXES, helioxActualFlow, helioxFactor, helioxReading } from './heliox-flow.ts'
import { adviseGas } from './hypercapnic-risk.ts'
import { inspiredOxygen, type OxygenSetup } from './inspired-oxygen.ts'

const quiet: OxygenSetup = {
  breath: BREATHING_PATTERNS['adult standard'],
  gas: 'oxygen',
  flowLPerMin: 8,
  reservoirMl: 0,
  cannulaLPerMin: 0,
  anatomicMl: 50,
}

const oxygenSetup: fc.Arbitrary<OxygenSetup> = fc.record({
  breath: fc.record({
    tidalMl: fc.double({ min: 15, max: 1500, noNaN: true }),
    ratePerMin: fc.double({ min: 5, max: 80, noNaN: true }),
    inspiration: fc.constant(1),
    expiration: fc.double({ min: 1, max: 5, noNaN: true }),
  }),
  gas: fc.constantFrom('air' as const, 'oxygen' as const, 'heliox 80/20' as const, 'heliox 60/40' as const),
  flowLPerMin: fc.double({ min: 0, max: 15, noNaN: true }),
  reservoirMl: fc.double({ min: 0, max: 500, noNaN: true }),
  cannulaLPerMin: fc.double({ min: 0, max: 6, noNaN: true }),
  anatomicMl: fc.double({ min: 0, max: 70, noNaN: true }),
})

describe('inspired oxygen', () => {
  it('volumes add up to the breath, and the range lies between the leanest and the richest gas', () => {
    fc.assert(
      fc.property(oxygenSetup, (setup) => {
        const { share, volumes, idealShare } = inspiredOxygen(setup)
        const sum = Object.values(volumes).reduce((total, ml) => total + ml, 0)
        expect(sum / setup.breath.tidalMl).toBeCloseTo(1, 9)
        expect(Math.min(...Object.values(volumes))).toBeGreaterThanOrEqual(-1e-6)
        expect(share.spread?.low).toBeLessThanOrEqual(share.spread?.high ?? Number.NaN)
        if (volumes.rebreathedMl < 0.2 * setup.breath.tidalMl)
          expect(idealShare > 0.18 && idealShare <= 1).toBe(true)
      }),
      { numRuns: 500 },
    )
  })
  it('more by cannula is never less', () => {
    fc.assert(
      fc.property(oxygenSetup, fc.double({ min: 0, max: 6, noNaN: true }), (setup, other) => {
        const flows = [setup.cannulaLPerMin, other].sort((a, b) => a - b)
        const [less, more] = flows.map(
          (cannulaLPerMin) =>
            inspiredOxygen({ ...setup, gas: 'air', reservoirMl: 0, cannulaLPerMin }).idealShare,
        )
        expect(more).toBeGreaterThanOrEqual((less ?? Number.NaN) - 1e-9)
      }),
    )
  })
  it('without added oxygen is that of room air, and never below a lean mixture', () => {
    expect(inspiredOxygen({ ...quiet, gas: 'air' }).share.spread).toEqual({ low: 0.2095, high: 0.2095 })
    const lean = inspiredOxygen({ ...quiet, gas: 'heliox 80/20' }).share.spread
    expect(lean?.low).toBeGreaterThan(0.2)
    expect(lean?.high).toBeLessThan(0.2095)
  })
  it('an oxygen-driven cup with a tube, from the volumes of a stack of parcels in minute steps', () => {
    const stack = parcelStack(breathOf(quiet.breath), 8000 / 60, 50, { stepS: 0.0005, breaths: 8 })
    const { idealShare, volumes } = inspiredOxygen({ ...quiet, reservoirMl: 50 })
    expect(volumes.cupMl).toBeCloseTo(stack.cupMl, 0)
    let share = 0.21
    for (let breath = 0; breath < 40; breath++) {
      share = (stack.cupMl + stack.roomMl * 0.2095 + stack.rebreathedMl * (share - 0.05)) / 500
    }
    expect(idealShare).toBeCloseTo(share, 3)
  })
  it('air-driven with a cannula spans both sites that were measured, to 0.02 (GEA_2010)', () => {
    for (const [cannulaLPerMin, throat, nose] of [
      [2, 0.27, 0.39],
      [4, 0.34, 0.47],
    ] as const) {
      const { spread } = inspiredOxygen({ ...quiet, gas: 'air', cannulaLPerMin }).share
      expect(Math.abs((spread?.low ?? Number.NaN) - throat)).toBeLessThan(0.02)
      expect(spread?.high).toBeGreaterThan(throat)
      expect(spread?.high).toBeLessThan(nose + 0.01)
    }
  })
  it.each<[Partial<OxygenSetup>, RegExp]>([
    [{ flowLPerMin: Number.NaN }, /flowLPerMin is NaN; allowed: 0 to 15 L\/min/],
    [{ cannulaLPerMin: 7 }, /cannulaLPerMin is 7; allowed: 0 to 6/],
    [{ cannulaLPerMin: -1 }, /cannulaLPerMin is -1/],
    [{ reservoirMl: Infinity }, /reservoirMl is Infinity/],
    [{ gas: 'helium' as never }, /gas is helium/],
    [{ breath: { ...quiet.breath, tidalMl: 0 } }, /breath.tidalMl is 0/],
  ])('refuses %j', (change, message) => {
    expect(() => inspiredOxygen({ ...quiet, ...change })).toThrow(message)
  })
})

describe('cylinders', () => {
  it('every size, US and metric: more in it lasts longer, more flow shorter, none below what is kept', () => {
    for (const size of US_SIZES) {
      const at = (psi: number, flow: number) => cylinderMinutes({ size, psi, keptPsi: 200 }, flow).value
      expect(at(2000, 8)).toBeGreaterThan(at(1000, 8))
      expect(at(2000, 4)).toBeCloseTo(2 * at(2000, 8), 9)
      expect(at(150, 8)).toBe(0)
    }
    for (const waterL of METRIC_WATER_L) {
      const { value } = cylinderMinutes({ waterL, bar: 150, keptBar: 14 }, 10)
      expect(value).toBeCloseTo((waterL * 136) / 1.01325 / 10, 9)
    }
    expect([US_SIZES.length, METRIC_WATER_L.length]).toEqual([6, 7])
  })
  it('the factor of E is its water, 4.7 L, by Boyle to 2 %', () => {
    const byFactor = cylinderMinutes({ size: 'E', psi: 2000, keptPsi: 0 }, 1).value
    const byWater = cylinderMinutes({ waterL: 4.7, bar: 2000 * 0.0689476, keptBar: 0 }, 1).value
    expect(Math.abs(byWater / byFactor / 1.143 - 1)).toBeLessThan(0.02) // the usual factor is 12.5 % short of Boyle: safe
  })
  it('says what a run leaves, and when it will not last', () => {
    const e = { size: 'E', psi: 1000, keptPsi: 200 } as const
    expect(afterRun(e, 8, 10).minutesOver).toBeCloseTo(18, 9)
    expect(afterRun(e, 8, 10).litersOver).toBeCloseTo(144, 9)
    expect(afterRun(e, 8, 30).lastsTheRun).toBe(false)
    expect(cylinderMinutes({ ...e, psi: 100 }, 8).caution).toMatch(/change the cylinder/)
  })
  it.each<[() => unknown, RegExp]>([
    [
      () => cylinderMinutes({ size: 'Q' as never, psi: 1000, keptPsi: 200 }, 8),
      /size is Q; allowed: D, E, M, G, H, K/,
    ],
    [() => cylinderMinutes({ size: 'E', psi: Number.NaN, keptPsi: 200 }, 8), /psi is NaN/],
    [() => cylinderMinutes({ size: 'E', psi: 1000, keptPsi: -1 }, 8), /keptPsi is -1/],
    [
      () => cylinderMinutes({ size: 'E', psi: 1000, keptPsi: 200 }, 0),
      /flowLPerMin is 0; allowed: 0.1 to 60/,
    ],
    [() => cylinderMinutes({ waterL: 0, bar: 100, keptBar: 14 }, 8), /waterL is 0/],
    [() => cylinderMinutes({ waterL: 10, bar: 400, keptBar: 14 }, 8), /bar is 400/],
    [() => afterRun({ size: 'E', psi: 1000, keptPsi: 200 }, 8, -1), /runMin is -1/],
  ])('refuses %#', (act, message) => {
    expect(act).toThrow(message)
  })
})

describe('helium mixtures', () => {
  it('the told factors are those of density to 4 %, and reading and flow undo each other', () => {
    for (const mix of HELIOX_MIXES) {
      const { told, byDensity } = helioxFactor(mix)
      expect(Math.abs(told / byDensity - 1)).toBeLessThan(0.04)
      expect(helioxActualFlow(mix, helioxReading(mix, 12).value).value).toBeCloseTo(12, 9)
    }
  })
  it('a hospital set 6 for 10 and 10 for 17 L/min with 70/30 (HELIOX_REGULATORS)', () => {
    expect(helioxReading('70/30', 10).value).toBeCloseTo(6, 0)
    expect(Math.abs(helioxReading('70/30', 17).value - 10)).toBeLessThan(0.7)
  })
  it('refuses an unknown mixture and a flow without meaning', () => {
    expect(() => helioxActualFlow('20/80', 10)).toThrow(/mix is 20\/80; allowed: 80\/20, 70\/30, 60\/40/)
    expect(() => helioxReading('80/20', Number.NaN)).toThrow(/wantedLPerMin is NaN/)
  })
})

describe('height', () => {
  it('keeps within 0.1 % of PsychroLib over all that is covered', () => {
    ashrae.SetUnitSystem(ashrae.SI)
    for (let heightM = -400; heightM <= 4500; heightM += 100) {
      expect(
        Math.abs(barometricPressure(heightM).value / ashrae.GetStandardAtmPressure(heightM) - 1),
      ).toBeLessThan(0.001)
    }
  })
  it('gives 19.9 kPa of oxygen at sea level, and asks for more of it higher up', () => {
    expect(inspiredOxygenPressure(0.2095, 101_325).value).toBeCloseTo(19.91, 2)
    expect(shareForSeaLevel(0.28, barometricPressure(1609).value)).toBeGreaterThan(0.28)
    expect(shareForSeaLevel(0.28, 101_325)).toBeCloseTo(0.28, 12)
  })
  it('refuses a height or a share without meaning', () => {
    expect(() => barometricPressure(9000)).toThrow(/heightM is 9000; allowed: -400 to 4500 m/)
    expect(() => inspiredOxygenPressure(0, 101_325)).toThrow(/share is 0/)
    expect(() => inspiredOxygenPressure(0.21, Number.NaN)).toThrow(/pressurePa is NaN/)
  })
})

describe('advice on the gas', () => {
  const atRisk = { atRisk: true, airSource: true, saturationPercent: 87, cannulaLPerMin: 2 }
  it('at risk: air, oxygen by cannula meanwhile, 88 to 92 %, gases looked at again', () => {
    expect(adviseGas(atRisk)).toMatchObject({
      gas: 'air',
      targetSaturationPercent: [88, 92],
      atMostMin: null,
      cannulaLPerMin: [1, 6],
      recheckGasesMin: [30, 60],
    })
    expect(adviseGas({ ...atRisk, saturationPercent: 91, cannulaLPerMin: 0 }).cannulaLPerMin).toBeNull()
  })
  it('at risk and no air: oxygen for six minutes at most', () => {
    expect(adviseGas({ ...atRisk, airSource: false })).toMatchObject({ gas: 'oxygen', atMostMin: 6 })
  })
  it('not at risk: oxygen when hypoxemic, when there is no air, or when already on it; else air', () => {
    const other = { ...atRisk, atRisk: false }
    expect(adviseGas(other)).toMatchObject({
      gas: 'oxygen',
      targetSaturationPercent: [94, 98],
      atMostMin: null,
    })
    const well = { ...other, saturationPercent: 97, cannulaLPerMin: 0 }
    expect(adviseGas(well).gas).toBe('air')
    expect(adviseGas({ ...well, airSource: false }).gas).toBe('oxygen')
  })
  it('each advice names its sources and says why; a saturation without meaning is refused', () => {
    for (const question of [atRisk, { ...atRisk, airSource: false }, { ...atRisk, atRisk: false }]) {
      const { sources, because } = adviseGas(question)
      expect(sources.length).toBeGreaterThan(1)
      expect(because.join(' ').length).toBeGreaterThan(40)
    }
    expect(() => adviseGas({ ...atRisk, saturationPercent: 9 })).toThrow(
      /saturationPercent is 9; allowed: 50 to 100 %/,
    )
    expect(() => adviseGas({ ...atRisk, cannulaLPerMin: Number.NaN })).toThrow(/cannulaLPerMin is NaN/)
  })
})
