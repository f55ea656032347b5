import { describe, expect, it } from 'vitest'
import { chartOfRuns, preparedBody } from '../../../test/support/charted-visit.ts'
import { calibrate } from '../../clinical/aerosol/index.ts'
import { defaultFormulary } from '../../clinical/medicine/index.ts'
import { CUPS } from '../documents/cups.ts'
import { chartedRuns } from '../folds/charted-runs.ts'
import { foldPatient, type PatientState } from '../folds/patient.ts'
import type { BodyOf } from '../registry.ts'
import { adviseSetUp } from './advise-set-up.ts'
import { type ForecastParts, forecastVisit, type VisitForecast } from './forecast-visit.ts'
import { sentChoice } from './sent-choice.ts'
import type { SetUpChoice } from './set-up-choice.ts'

const NOW = '2026-06-01T10:00:00.000Z'
const ADULT: PatientState = { ...foldPatient('p1', []), dob: '1960-01-01', weightKg: 70 }
const AT_RISK: PatientState = {
  ...ADULT,
  conditions: [{ code: 'hypercapnia-risk', text: 'retains carbon dioxide' }],
}
const CHOICE: SetUpChoice = {
  cupId: 'tee-jet',
  interface: 'mouthpiece',
  gas: 'air',
  flowLPerMin: 8,
  reservoirMl: 50,
  position: 'sitting up',
  cannulaStaysOn: false,
  supply: { from: 'wall' },
}
const PARTS: ForecastParts = {
  prepared: preparedBody(3),
  patient: ADULT,
  before: { spo2On: { device: 'nasal cannula', flowLPerMin: 2 } },
  cups: CUPS.defaults,
  calibration: () => undefined,
  now: NOW,
}

function known(choice: Partial<SetUpChoice> = {}, parts: Partial<ForecastParts> = {}) {
  const made: VisitForecast = forecastVisit({ ...CHOICE, ...choice }, { ...PARTS, ...parts })
  if (!made.ok) throw new Error(made.why)
  return made
}

function oxygen(choice: Partial<SetUpChoice>, parts: Partial<ForecastParts> = {}) {
  const { inspiredOxygen } = known(choice, parts)
  return 'worked' in inspiredOxygen ? inspiredOxygen.worked.spread : inspiredOxygen.why
}

describe('a visit’s forecast', () => {
  it('says from how many runs here, comes to their time, and its range shrinks', () => {
    const learned = (count: number) => {
      const chart = chartOfRuns(
        Array.from({ length: count }, (_, i) => 12 + (i % 2) / 2),
        { fillMl: 3 },
      )
      const { runs } = chartedRuns(chart.visits(), 'tee-jet', NOW)
      return known({}, { calibration: () => calibrate(runs) })
    }
    const [none, few, many] = [known(), learned(3), learned(60)]
    expect([none, few, many].map(({ runsHere }) => runsHere)).toEqual([0, 3, 60])
    const width = ({ runMinutes: { spread } }: typeof none) =>
      spread ? spread.high - spread.low : Number.NaN
    expect(width(few)).toBeLessThan(width(none))
    expect(width(many)).toBeLessThan(width(few))
    expect(many.runMinutes.value).toBeGreaterThan(11.5)
    expect(many.runMinutes.value).toBeLessThan(13)
  })

  it('a compressor runs longer than dry gas of the wall: its moist gas takes up less water', () => {
    expect(known({ supply: { from: 'compressor' } }).runMinutes.value).toBeGreaterThan(
      known().runMinutes.value,
    )
  })

  it('gives inspired oxygen as a range: more with the cannula on, most when oxygen drives the cup', () => {
    const [room, cannula, driven] = [
      oxygen({}),
      oxygen({ cannulaStaysOn: true }),
      oxygen({ gas: 'oxygen' }),
    ] as { low: number; high: number }[]
    expect(room?.high).toBeLessThan(21)
    // Two sites were measured with a cannula of 2 L/min at 8 L/min of air: 27 and 39 % (GEA_2010).
    expect(cannula?.low).toBeGreaterThan(24)
    expect(cannula?.high).toBeLessThan(40)
    expect(driven?.high).toBeGreaterThan(55)
    expect(driven?.low).toBeLessThan(driven?.high ?? 0)
  })

  it('says why inspired oxygen is not known, and never guesses a cannula', () => {
    expect(oxygen({ interface: 'in-line' })).toMatch(/ventilator/)
    expect(oxygen({ interface: 'tracheostomy collar' })).toMatch(/not found published/)
    expect(oxygen({ cannulaStaysOn: true }, { before: {} })).toMatch(/was not charted/)
    const child = { ...ADULT, dob: '2022-01-01', weightKg: 16 }
    expect(oxygen({ interface: 'mask', cannulaStaysOn: true }, { patient: child })).toMatch(/adults only/)
  })

  it('counts the minutes of a cylinder above its reserve, and says when they may not do', () => {
    const from = (psi: number) =>
      known({ supply: { from: 'cylinder', cylinder: { size: 'E', psi } } }).cylinder
    // (2000 − 200) psi × 0.28 L/psi ÷ 8 L/min = 63 min
    expect(from(2000)).toMatchObject({ ok: true, lasts: true, minutes: { value: expect.closeTo(63, 6) } })
    expect(from(400)).toMatchObject({ ok: true, lasts: false })
    expect(known({ supply: { from: 'cylinder', cylinder: { waterL: 2, bar: 114 } } }).cylinder).toMatchObject(
      { ok: true, minutes: { value: expect.closeTo(24.7, 1) } },
    )
    expect(known({ supply: { from: 'cylinder', cylinder: { size: 'E', psi: 0 } } }).cylinder).toEqual({
      ok: false,
      why: 'Its gauge has not been read.',
    })
    const strange = { from: 'cylinder', cylinder: { size: 'Z', psi: 2000 } } as const
    expect(known({ supply: strange }).cylinder).toMatchObject({ ok: false, why: expect.stringMatching(/Z/) })
  })
})

describe('advice on the set-up', () => {
  const advise = (patient: PatientState, before: Parameters<typeof adviseSetUp>[1]) =>
    adviseSetUp(defaultFormulary(), before, patient, ['albuterol'], CUPS.defaults, NOW)
  const onCannula = { device: 'nasal cannula', flowLPerMin: 2 } as const

  it('where carbon dioxide may rise: air, the cannula stays on, its target, gases again, and six minutes of oxygen at most', () => {
    const { advised, cautions, ifOxygen, sources } = advise(AT_RISK, { spo2Percent: 89, spo2On: onCannula })
    expect(advised).toMatchObject({ gas: 'air', cannulaStaysOn: true })
    expect(cautions.join(' ')).toMatch(/88 to 92 %.*30 to 60 minutes/)
    expect(ifOxygen).toMatch(/at most 6 minutes/)
    expect(sources.map(({ key }) => key)).toEqual(expect.arrayContaining(['BTS_2017', 'BARDSLEY_2018']))
  })
  it('elsewhere: oxygen when the saturation is low, else air', () => {
    expect(advise(ADULT, { spo2Percent: 86 }).advised.gas).toBe('oxygen')
    expect(advise(ADULT, { spo2Percent: 97 })).toMatchObject({ advised: { gas: 'air' }, ifOxygen: null })
  })
  it('stands with any saturation and flow that the record can hold', () => {
    for (const spo2Percent of [0, 30, 100]) {
      const on = { device: 'nasal cannula', flowLPerMin: 60 } as const
      for (const patient of [ADULT, AT_RISK]) {
        expect(['air', 'oxygen']).toContain(advise(patient, { spo2Percent, spo2On: on }).advised.gas)
      }
    }
  })

  it('takes up a set-up from the bench, and says what of it does not fit', () => {
    const sent: BodyOf<'set-up-sent'> = {
      cupId: 'mask-jet',
      fillMl: 5,
      gas: 'heliox 70/30',
      flowLPerMin: 10,
      interface: 'mask',
      distanceCm: null,
      mask: null,
      reservoirMl: 0,
      breathesBy: 'nose',
      bench: 'dose=2.5',
      letter: 'B',
    }
    const advice = advise(ADULT, { spo2Percent: 97 })
    const taken = sentChoice(sent, advice, 3)
    expect(taken.choice).toEqual({
      cupId: 'mask-jet',
      interface: 'mask',
      gas: 'heliox',
      flowLPerMin: 10,
      reservoirMl: 0,
    })
    expect(taken.cannot.join(' ')).toMatch(/5 mL; 3 mL are in the cup.*not heliox 70\/30/)
    expect(sentChoice({ ...sent, cupId: 'gone', gas: 'air' }, advice, 5).cannot).toEqual([
      expect.stringMatching(/cup \(gone\) does not suit/),
    ])
  })
})
