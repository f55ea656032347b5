import fc from 'fast-check'
import ashrae from 'psychrolib'
import { describe, expect, it } from 'vitest'
import wetBulbs from './data/wet-bulb.table.json' with { type: 'json' }
import { GASES } from './gas.ts'
import {
  dewPointCel,
  hasDewPoint,
  latentHeat,
  saturatedWaterGPerM3,
  saturationHumidityRatio,
  saturationPressurePa,
  vaporLossMgPerMin,
  wetBulbCel,
} from './psychrometrics.ts'

ashrae.SetUnitSystem(ashrae.SI)

describe('against PsychroLib, run here', () => {
  it('keeps within 0.4 % of its saturation pressure, and 0.6 % of its humidity ratio, over all that is covered', () => {
    for (let cel = 0.5; cel <= 50; cel += 0.5) {
      const ours = [saturationPressurePa(cel), saturationHumidityRatio(cel, 101_325)]
      const theirs = [ashrae.GetSatVapPres(cel), ashrae.GetSatHumRatio(cel, 101_325)]
      expect(Math.abs((ours[0] ?? 0) / (theirs[0] ?? 0) - 1)).toBeLessThan(0.004)
      expect(Math.abs((ours[1] ?? 0) / (theirs[1] ?? 0) - 1)).toBeLessThan(0.0065)
    }
  })
  it('keeps within 0.15 Cel of its dew point', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 50, noNaN: true }),
        fc.double({ min: 0.022, max: 1, noNaN: true }),
        (cel, share) => {
          expect(Math.abs(dewPointCel(cel, share) - ashrae.GetTDewPointFromRelHum(cel, share))).toBeLessThan(
            0.15,
          )
        },
      ),
    )
  })
  it('has a dew point wherever it is above -40 Cel, frost below zero', () => {
    expect(dewPointCel(0, 1)).toBe(0)
    expect(dewPointCel(0, 0.5)).toBeCloseTo(ashrae.GetTDewPointFromRelHum(0, 0.5), 1)
    expect(dewPointCel(22, 0.2)).toBeCloseTo(ashrae.GetTDewPointFromRelHum(22, 0.2), 1)
    const least = (cel: number) => ashrae.GetSatVapPres(-40) / ashrae.GetSatVapPres(cel)
    for (const cel of [0, 10, 22, 50]) {
      expect(hasDewPoint(cel, least(cel) * 1.02)).toBe(true)
      expect(hasDewPoint(cel, least(cel) * 0.98)).toBe(false)
    }
  })
  it('keeps within 0.4 Cel of its wet bulb for every row of the table', () => {
    const air = GASES.air
    const misses = wetBulbs.rows.filter(
      ([temperatureCel = 0, relativeHumidity = 0, pressurePa = 0, told = 0]) => {
        const ours = wetBulbCel({ gas: air, temperatureCel, relativeHumidity, pressurePa })
        const again = ashrae.GetTWetBulbFromRelHum(temperatureCel, relativeHumidity, pressurePa)
        return !(Math.abs(ours - told) < 0.4 && Math.abs(again - told) < 0.01)
      },
    )
    expect(wetBulbs.rows).toHaveLength(16)
    expect(misses).toEqual([])
  })
})

describe('what physics says, whatever the numbers', () => {
  const cel = fc.double({ min: 10, max: 40, noNaN: true })
  const share = fc.double({ min: 0, max: 1, noNaN: true })
  const pa = fc.double({ min: 60_000, max: 110_000, noNaN: true })
  it('the wet bulb lies at or below the gas and rises with humidity', () => {
    fc.assert(
      fc.property(cel, share, share, pa, (temperatureCel, a, b, pressurePa) => {
        const at = (relativeHumidity: number) =>
          wetBulbCel({ gas: GASES.air, temperatureCel, relativeHumidity, pressurePa })
        const [drier, damper] = [Math.min(a, b), Math.max(a, b)]
        expect(at(damper)).toBeLessThanOrEqual(temperatureCel + 1e-9)
        expect(at(drier)).toBeLessThanOrEqual(at(damper) + 1e-9)
      }),
    )
  })
  it('a dry gas at equal flow carries off more from a warmer cup', () => {
    const entry = { gas: GASES.oxygen, temperatureCel: 22, relativeHumidity: 0, pressurePa: 101_325 }
    expect(vaporLossMgPerMin(entry, 8, 20)).toBeGreaterThan(vaporLossMgPerMin(entry, 8, 12))
  })
  it('latent heat falls with temperature; saturated air holds more', () => {
    expect(latentHeat(0)).toBeCloseTo(2500.9, 6)
    expect(latentHeat(40)).toBeLessThan(latentHeat(0))
    expect(saturatedWaterGPerM3(37)).toBeCloseTo(43.88, 0)
  })
})

describe('refuses what is not covered', () => {
  it.each([-0.01, 50.01, Number.NaN, Infinity])('temperature %s', (cel) => {
    expect(() => saturationPressurePa(cel)).toThrow(/temperatureCel is .*; allowed: 0 to 50 Cel/)
  })
  it('humidity above 1, pressure of a mountain top, and air too dry for a dew point', () => {
    const entry = { gas: GASES.air, temperatureCel: 22, relativeHumidity: 1.01, pressurePa: 101_325 }
    expect(() => wetBulbCel(entry)).toThrow(/relativeHumidity is 1.01; allowed: 0 to 1/)
    expect(() => wetBulbCel({ ...entry, relativeHumidity: 0, pressurePa: 40_000 })).toThrow(
      /pressurePa is 40000/,
    )
    expect(() => dewPointCel(22, 0.004)).toThrow(/relativeHumidity is 0.004; allowed: 0.00\d{4} to 1$/)
    expect(() => dewPointCel(0, 0)).toThrow(/relativeHumidity is 0; allowed: 0.02\d{4} to 1$/)
    expect(() => dewPointCel(0, 1.01)).toThrow(/relativeHumidity is 1.01/)
    expect(() => vaporLossMgPerMin({ ...entry, relativeHumidity: 0 }, Number.NaN, 12)).toThrow(/flowLPerMin/)
  })
})
