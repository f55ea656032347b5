import { createRequire } from 'node:module'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { type CupConditions, type CupParameters, constantVaporShare, dropletGPerS, runCup } from './cup.ts'
import { JET } from './cup-kinds.ts'
import { GASES, molesPerSecond } from './gas.ts'
import { latentHeat, saturation, uptakeGPerMol, vaporRatio } from './psychrometrics.ts'

/** Required, not imported: its TypeScript sources do not pass the checks of this project. */
const require = createRequire(import.meta.url)
const { Solver } = require('odex') as {
  Solver: new (
    size: number,
  ) => {
    absoluteTolerance: number
    relativeTolerance: number
    solve(f: (x: number, y: number[]) => number[], from: number, start: number[], to: number): { y: number[] }
  }
}

const usual: CupConditions = {
  fillMl: 4,
  gas: GASES.air,
  flowLPerMin: 8,
  relativeHumidity: 0,
  roomCel: 22,
  pressurePa: 101_325,
}

/** The same balance given to an outside solver of variable order, in time, from full to the first sputter. */
function byOutsideSolver(cup: CupParameters, at: CupConditions, seconds: number): readonly number[] {
  const moles = molesPerSecond(at.flowLPerMin)
  const droplets = dropletGPerS(cup, at.gas, at.flowLPerMin)
  const ratioIn = vaporRatio(at.relativeHumidity * saturation(at.roomCel), at.pressurePa)
  const solver = new Solver(3)
  solver.absoluteTolerance = 1e-11
  solver.relativeTolerance = 1e-11
  const change = (_: number, [water = 0, cel = 0]: number[]) => {
    const vapor = moles * uptakeGPerMol(cel, ratioIn, at.pressurePa)
    const watts =
      (moles * at.gas.heatJPerMolK + cup.roomHeatWPerK) * (at.roomCel - cel) - latentHeat(cel) * vapor
    return [-(droplets + vapor), watts / (water * 4.19 + cup.plasticJPerK), -droplets / water]
  }
  return solver.solve(change, 0, [at.fillMl, at.roomCel, 0], seconds).y
}

const cup = fc.record({
  dropletGPerMin: fc.double({ min: 0.08, max: 0.4, noNaN: true }),
  sputterMl: fc.double({ min: 0.5, max: 2.5, noNaN: true }),
  roomHeatWPerK: fc.double({ min: 0.03, max: 0.4, noNaN: true }),
  plasticJPerK: fc.double({ min: 5, max: 30, noNaN: true }),
  noMistLPerMin: fc.double({ min: 0, max: 2, noNaN: true }),
  halvingS: fc.double({ min: 5, max: 20, noNaN: true }),
})
const conditions = fc.record({
  fillMl: fc.double({ min: 1, max: 10, noNaN: true }),
  gas: fc.constantFrom(GASES.air, GASES.oxygen, GASES['heliox 80/20'], GASES['heliox 70/30']),
  flowLPerMin: fc.double({ min: 4, max: 12, noNaN: true }),
  relativeHumidity: fc.double({ min: 0, max: 0.9, noNaN: true }),
  roomCel: fc.double({ min: 10, max: 30, noNaN: true }),
  pressurePa: fc.double({ min: 60_000, max: 110_000, noNaN: true }),
})

describe('the balance against outside solutions', () => {
  it('ends at the same time, temperature and strength as an outside solver says, over the whole input space', () => {
    fc.assert(
      fc.property(cup, conditions, (parameters, at) => {
        fc.pre(at.fillMl > parameters.sputterMl + 0.2)
        const ours = runCup(parameters, at, true)
        const seconds = ours.sputterS ?? Number.NaN
        const [water = 0, cel = 0, logDrug = 0] = byOutsideSolver(parameters, at, seconds)
        const atSputter = ours.moments.find((moment) => moment.seconds === seconds)
        expect(Math.abs(water / parameters.sputterMl - 1)).toBeLessThan(0.0003)
        expect(Math.abs(cel - (atSputter?.cel ?? Number.NaN))).toBeLessThan(0.01)
        expect(Math.abs(Math.exp(logDrug) - (atSputter?.drugLeft ?? Number.NaN))).toBeLessThan(0.0002)
      }),
      { numRuns: 60 },
    )
  })
  it('is the closed form when the cup is kept at room temperature, so that vapor is a constant share', () => {
    const warm = { ...JET, roomHeatWPerK: 1e4 }
    const run = runCup(warm, usual, true)
    const droplets = dropletGPerS(warm, usual.gas, usual.flowLPerMin)
    const vapor = molesPerSecond(8) * uptakeGPerMol(22, 0, 101_325)
    const atSputter = run.moments.find((moment) => moment.seconds === run.sputterS)
    const closed = constantVaporShare(4, warm.sputterMl, vapor / (vapor + droplets))
    expect(1 - (atSputter?.drugLeft ?? Number.NaN)).toBeCloseTo(closed.drugOut, 4)
    expect((run.sputterS ?? Number.NaN) * (vapor + droplets)).toBeCloseTo(4 - warm.sputterMl, 3)
  })
})

describe('over the whole input space', () => {
  it('water and medicine add up and nothing is no number', () => {
    fc.assert(
      fc.property(cup, conditions, (parameters, at) => {
        const run = runCup(parameters, at)
        expect((run.leftG + run.vaporG + run.dropletG) / at.fillMl).toBeCloseTo(1, 12)
        for (const value of [run.leftG, run.endS, run.drugLeft, run.coolestCel, run.dropletG]) {
          expect(Number.isFinite(value)).toBe(true)
        }
        expect(run.leftG).toBeGreaterThan(0)
        expect(run.vaporG).toBeGreaterThanOrEqual(-1e-9)
        expect(run.drugLeft > 0 && run.drugLeft <= 1).toBe(true)
        expect(1 - run.drugLeft).toBeLessThanOrEqual(1 - run.leftG / at.fillMl + 1e-9)
      }),
      { numRuns: 500 },
    )
  })
  it('more fill runs longer and gives a larger share; more flow or less in the cup at sputter runs as expected', () => {
    fc.assert(
      fc.property(
        cup,
        conditions,
        fc.double({ min: 1.05, max: 1.5, noNaN: true }),
        (parameters, at, more) => {
          const run = runCup(parameters, at)
          const fuller = runCup(parameters, { ...at, fillMl: at.fillMl * more })
          const faster = runCup(parameters, { ...at, flowLPerMin: at.flowLPerMin * more })
          const drier = runCup({ ...parameters, sputterMl: parameters.sputterMl / more }, at)
          expect(fuller.endS).toBeGreaterThanOrEqual(run.endS - 1e-6)
          // A cup that sputters at once gives the same little mist from more medicine.
          if (at.fillMl > parameters.sputterMl) expect(fuller.drugLeft).toBeLessThan(run.drugLeft)
          expect(faster.endS).toBeLessThanOrEqual(run.endS + 1e-6)
          expect(drier.endS).toBeGreaterThanOrEqual(run.endS - 1e-6)
        },
      ),
      { numRuns: 300 },
    )
  })
  it('a stop cuts the same run short: time met exactly, and never more medicine out', () => {
    fc.assert(
      fc.property(cup, conditions, fc.double({ min: 0.1, max: 40, noNaN: true }), (parameters, at, stop) => {
        const whole = runCup(parameters, at)
        const cut = runCup(parameters, { ...at, stopAfterMin: stop })
        expect(cut.endS).toBeCloseTo(Math.min(stop * 60, whole.endS), 6)
        expect(cut.drugLeft).toBeGreaterThanOrEqual(whole.drugLeft - 1e-6)
        expect((cut.leftG + cut.vaporG + cut.dropletG) / at.fillMl).toBeCloseTo(1, 12)
      }),
      { numRuns: 300 },
    )
  })
})
