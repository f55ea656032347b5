import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { ADULT, SETUPS } from '../../../bench/forecast-setups.ts'
import { largestDifference, plainForecast } from '../../../bench/plain-forecast.ts'
import { type ChartedRun, calibrate } from './calibrate.ts'
import type { Ends } from './cup-kinds.ts'
import { FIGURES, type FigureName } from './figures.ts'
import { forecast } from './forecast.ts'
import { GAS_KINDS, GASES } from './gas.ts'
import type { Setup } from './setup.ts'

const likely = (setup: Setup, name: FigureName) => forecast(setup).figures[name]?.likely ?? Number.NaN

describe('the quick forecast against the plain one', () => {
  it.each(SETUPS.map((setup, i) => [i, setup] as const))(
    'every figure within 0.2 %%: set-up %s',
    (_, setup) => {
      const difference = largestDifference(forecast(setup).figures, plainForecast(setup))
      expect(difference.compared).toBe(60)
      expect(difference.relative).toBeLessThan(0.002)
    },
    120_000,
  )
})

const setup: fc.Arbitrary<Setup> = fc
  .record({
    doseMg: fc.double({ min: 0.01, max: 300, noNaN: true }),
    form: fc.constantFrom('solution' as const, 'suspension' as const),
    fillMl: fc.double({ min: 1, max: 10, noNaN: true }),
    kind: fc.constantFrom(...GAS_KINDS),
    flowLPerMin: fc.double({ min: 4, max: 12, noNaN: true }),
    relativeHumidity: fc.double({ min: 0, max: 0.9, noNaN: true }),
    temperatureCel: fc.double({ min: 10, max: 30, noNaN: true }),
    pressurePa: fc.double({ min: 60_000, max: 110_000, noNaN: true }),
    tidalMl: fc.double({ min: 15, max: 1500, noNaN: true }),
    ratePerMin: fc.double({ min: 5, max: 80, noNaN: true }),
    expiration: fc.double({ min: 1, max: 5, noNaN: true }),
    breathesBy: fc.constantFrom('mouth' as const, 'nose' as const),
    weightKg: fc.option(fc.double({ min: 2, max: 73, noNaN: true })),
    interface: fc.constantFrom<Setup['interface']>(
      { kind: 'mask' },
      { kind: 'tracheostomy collar' },
      { kind: 'in-line' },
      { kind: 'mask held off', distanceCm: 1.5, mask: 'standard' },
      { kind: 'mask held off', distanceCm: 4, mask: 'shaped' },
    ),
    reservoirMl: fc.double({ min: 0, max: 500, noNaN: true }),
    stopAfterMin: fc.option(fc.double({ min: 0.1, max: 60, noNaN: true })),
    cupKind: fc.constantFrom('jet', 'jet', 'jet', 'mesh'),
  })
  .map((r) => ({
    cup: { kind: r.cupKind },
    medicine: { doseMg: r.doseMg, form: r.form },
    fillMl: r.fillMl,
    gas: { kind: r.kind, flowLPerMin: r.flowLPerMin, relativeHumidity: r.relativeHumidity },
    room: { temperatureCel: r.temperatureCel, pressurePa: r.pressurePa },
    breath: { tidalMl: r.tidalMl, ratePerMin: r.ratePerMin, inspiration: 1, expiration: r.expiration },
    breathesBy: r.breathesBy,
    body: r.weightKg === null ? { kind: 'adult' } : { kind: 'child', weightKg: r.weightKg },
    lungs: 'healthy',
    interface: r.interface,
    reservoirMl: r.reservoirMl,
    stopAfterMin: r.stopAfterMin ?? undefined,
  }))

describe('over the whole input space', () => {
  it('no figure is no number, each lies within its ends, and what is null is explained', () => {
    fc.assert(
      fc.property(setup, (given) => {
        const { figures, notKnown, curves } = forecast(given)
        for (const name of Object.keys(FIGURES) as FigureName[]) {
          const ends = figures[name]
          const explained = notKnown.some((gap) => gap.figures.includes(name) && gap.why.length > 20)
          expect(ends === null).toBe(explained)
          if (!ends) continue
          const slack = 1e-9 * Math.abs(ends.likely)
          expect(Number.isFinite(ends.low) && Number.isFinite(ends.high)).toBe(true)
          expect(ends.low - slack <= ends.likely && ends.likely <= ends.high + slack).toBe(true)
        }
        for (const point of curves) {
          expect(Object.values(point).every((value) => value === null || Number.isFinite(value))).toBe(true)
        }
      }),
      { numRuns: 600 },
    )
  })
  it('medicine adds up: in the cup and out, inhaled and lost, landed and exhaled', () => {
    fc.assert(
      fc.property(setup, (given) => {
        const { figures } = forecast(given)
        const of = (name: FigureName) => figures[name]?.likely ?? Number.NaN
        const dose = given.medicine.doseMg
        if (figures.leavesCupMg) expect((of('leavesCupMg') + of('leftInCupMg')) / dose).toBeCloseTo(1, 9)
        else expect([given.cup.kind, given.stopAfterMin === undefined]).toEqual(['mesh', false])
        if (figures.inhaledMg)
          expect((of('inhaledMg') + of('lostToRoomMg')) / of('leavesCupMg')).toBeCloseTo(1, 9)
        if (!figures.lungMg) return
        const landed = of('noseMg') + of('mouthThroatMg') + of('lungMg')
        expect(of('bronchiMg') + of('bronchiolesMg') + of('alveoliMg')).toBeCloseTo(of('lungMg'), 9)
        expect((landed + of('exhaledMg')) / of('inhaledMg')).toBeCloseTo(1, 9)
        expect(of('lungMg')).toBeLessThan(0.5 * dose)
      }),
      { numRuns: 400 },
    )
  })
  it('the curves end where the figures stand', () => {
    fc.assert(
      fc.property(setup, (given) => {
        const { figures, curves } = forecast(given)
        const last = curves.at(-1)
        if (!last) return
        expect(last.minutes).toBeCloseTo(figures.minutesToEnd?.likely ?? Number.NaN, 6)
        expect(last.concentrationRatio).toBeCloseTo(figures.concentrationRatio?.likely ?? Number.NaN, 6)
        if (last.inhaledMg !== null && figures.inhaledMg) {
          expect(last.inhaledMg / figures.inhaledMg.likely).toBeCloseTo(1, 6)
        }
      }),
    )
  })
  it('twice the dose in the same fill is twice of everything in mg, and takes no longer', () => {
    fc.assert(
      fc.property(setup, (given) => {
        const doubled = { ...given, medicine: { ...given.medicine, doseMg: 2 * given.medicine.doseMg } }
        const [once, twice] = [forecast(given).figures, forecast(doubled).figures]
        for (const name of Object.keys(FIGURES) as FigureName[]) {
          const factor = FIGURES[name].unit === 'mg' ? 2 : 1
          const [a, b] = [once[name]?.likely, twice[name]?.likely]
          if (a !== undefined && a > 0) expect((b ?? Number.NaN) / a).toBeCloseTo(factor, 9)
        }
      }),
    )
  })
})

describe('what a practitioner expects', () => {
  it('more fill runs longer and gives more; more flow runs shorter', () => {
    const fuller = { ...ADULT, fillMl: 5 }
    expect(likely(fuller, 'minutesToEnd')).toBeGreaterThan(likely(ADULT, 'minutesToEnd'))
    expect(likely(fuller, 'leavesCupMg')).toBeGreaterThan(likely(ADULT, 'leavesCupMg'))
    const faster = { ...ADULT, gas: { ...ADULT.gas, flowLPerMin: 10 } }
    expect(likely(faster, 'minutesToEnd')).toBeLessThan(likely(ADULT, 'minutesToEnd'))
  })
  it('a tube saves, a mask loses, a mask held off loses most and promises nothing', () => {
    const bare = { ...ADULT, reservoirMl: 0 }
    const mask = { ...bare, interface: { kind: 'mask' as const } }
    const away = {
      ...bare,
      interface: { kind: 'mask held off' as const, distanceCm: 2, mask: 'standard' as const },
    }
    const doses = [ADULT, bare, mask, away].map((each) => likely(each, 'inhaledMg'))
    expect(doses).toEqual([...doses].sort((a, b) => b - a))
    expect(forecast(away).promisesDose).toBe(false)
    expect(forecast(mask).promisesDose).toBe(true)
    expect(forecast(away).cautions[0]).toMatch(/mask held off/)
  })
  it('a helium mixture needs more flow for the same', () => {
    const heliox = { ...ADULT, gas: { ...ADULT.gas, kind: 'heliox 80/20' as const } }
    expect(likely(heliox, 'minutesToEnd')).toBeGreaterThan(likely(ADULT, 'minutesToEnd'))
    expect(likely(heliox, 'leavesCupMg')).toBeLessThan(likely(ADULT, 'leavesCupMg'))
  })
  it('a mesh: what stays behind is known, run time and lung are not, and it says why', () => {
    const mesh = forecast({ ...ADULT, cup: { kind: 'mesh' } })
    expect(mesh.figures.leftInCupMg?.high).toBeCloseTo((2.5 * 0.2) / 3, 9)
    expect(mesh.figures.minutesToEnd).toBeNull()
    expect(mesh.figures.lungMg).toBeNull()
    expect(mesh.curves).toEqual([])
    const stopped = forecast({ ...ADULT, cup: { kind: 'mesh' }, stopAfterMin: 1 })
    expect(Object.values(stopped.figures).filter((ends) => ends !== null)).toEqual([])
    expect(stopped.notKnown[0]?.figures).toContain('leavesCupMg')
    expect(stopped.notKnown[0]?.why).toMatch(/stopped leaves behind is not known/)
  })
  it('a small breath that hardly passes the airways gets no regions, with the reason', () => {
    const shallow = forecast({ ...ADULT, breath: { ...ADULT.breath, tidalMl: 120 } })
    expect(shallow.figures.inhaledMg).not.toBeNull()
    expect(shallow.notKnown.at(-1)?.why).toMatch(/120 mL hardly passes/)
  })
})

describe('a cup that has run here', () => {
  const run: ChartedRun = {
    conditions: {
      fillMl: 3,
      gas: GASES.air,
      flowLPerMin: 8,
      relativeHumidity: 0,
      roomCel: 22,
      pressurePa: 101_325,
    },
    ended: 'sputter',
    minutes: 6,
    leftG: 0.9,
  }
  const runs = (n: number) =>
    Array.from({ length: n }, (_, i) => ({ ...run, minutes: 6 * (1 + 0.06 * Math.cos(2 * i)) }))
  const width = (ends: Ends | null) => (ends ? ends.high / ends.low : Number.NaN)
  const after = (n: number) => forecast({ ...ADULT, cup: { kind: 'jet', calibration: calibrate(runs(n)) } })

  it('says how many runs it rests on, comes to their time, and narrows, but never below their scatter', () => {
    const forecasts = [0, 1, 4, 16, 60].map(after)
    expect(forecasts.map(({ runsHere }) => runsHere)).toEqual([0, 1, 4, 16, 60])
    for (const name of ['minutesToSputter', 'leavesCupMg', 'lungMg'] as const) {
      const widths = forecasts.map(({ figures }) => width(figures[name]))
      expect(widths).toEqual([...widths].sort((a, b) => b - a))
    }
    const last = forecasts.at(-1)?.figures.minutesToSputter
    expect(last?.likely).toBeCloseTo(6, 0)
    expect(width(last ?? null)).toBeGreaterThan(1.08)
    expect(forecasts[0]?.figures).toEqual(forecast(ADULT).figures)
  })
})

describe('refuses, naming field, value and what is allowed', () => {
  const nan = Number.NaN
  it.each<[Partial<Setup>, RegExp]>([
    [{ fillMl: nan }, /fillMl is NaN; allowed: 1 to 10 mL/],
    [{ fillMl: 10.5 }, /fillMl is 10.5; allowed: 1 to 10 mL/],
    [{ cup: { kind: 'jet', capacityMl: 4 }, fillMl: 5 }, /fillMl is 5; allowed: 1 to 4 mL/],
    [{ cup: { kind: 'jet', capacityMl: Infinity } }, /cup.capacityMl is Infinity/],
    [{ medicine: { doseMg: 0, form: 'solution' } }, /medicine.doseMg is 0; allowed: 0.000001 to 1000000 mg/],
    [{ medicine: { doseMg: 2.5, form: 'foam' as never } }, /medicine.form is foam/],
    [{ gas: { ...ADULT.gas, flowLPerMin: 0 } }, /gas.flowLPerMin is 0; allowed: 4 to 12 L\/min/],
    [{ gas: { ...ADULT.gas, flowLPerMin: -8 } }, /gas.flowLPerMin is -8/],
    [{ gas: { ...ADULT.gas, kind: 'xenon' as never } }, /gas is xenon; allowed: air, oxygen/],
    [{ gas: { ...ADULT.gas, relativeHumidity: 1.2 } }, /gas.relativeHumidity is 1.2/],
    [
      { room: { temperatureCel: 45, pressurePa: 101_325 } },
      /room.temperatureCel is 45; allowed: 10 to 30 Cel/,
    ],
    [{ room: { temperatureCel: 22, pressurePa: 0 } }, /room.pressurePa is 0/],
    [{ cup: { kind: 'teapot' } }, /cup.kind is teapot; allowed: jet, mesh/],
    [{ cup: { kind: 'breath-actuated' } }, /breath-actuated; allowed: jet, mesh. It makes mist while/],
    [{ cup: { kind: 'jet', droplets: { mmadUm: -1, gsd: 2 } } }, /mmadUm is -1/],
    [{ breathesBy: 'nose' }, /breathesBy is nose; allowed: mouth, with a mouthpiece/],
    [{ interface: { kind: 'funnel' as never } }, /interface.kind is funnel/],
    [
      { interface: { kind: 'mask held off', distanceCm: 5, mask: 'shaped' } },
      /distanceCm is 5; allowed: 0 to 4 cm/,
    ],
    [{ interface: { kind: 'mask held off', distanceCm: nan, mask: 'shaped' } }, /distanceCm is NaN/],
    [
      { interface: { kind: 'mask held off', distanceCm: 2, mask: 'paper' as never } },
      /interface.mask is paper/,
    ],
    [{ body: { kind: 'child', weightKg: 0 } }, /body.weightKg is 0; allowed: 2 to 73 kg/],
    [{ reservoirMl: -1 }, /reservoirMl is -1; allowed: 0 to 500 mL/],
    [{ stopAfterMin: 0 }, /stopAfterMin is 0/],
    [{ lungs: 'pink' as never }, /lungs is pink; allowed: healthy, obstructed/],
  ])('%#', (change, message) => {
    expect(() => forecast({ ...ADULT, ...change })).toThrow(message)
  })
})
