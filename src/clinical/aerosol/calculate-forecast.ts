import { z } from 'zod'
import { calculation } from '../calculation.ts'
import { BadInput, requireWithin } from '../worked.ts'
import { each, oneOrMore } from './answers.ts'
import { type Calibration, type ChartedRun, calibrate } from './calibrate.ts'
import { explainForecast } from './explain-forecast.ts'
import { FIGURES, type FigureName } from './figures.ts'
import { type Forecast, forecast } from './forecast.ts'
import { gasOf } from './gas.ts'
import { COVERED_SETUP, type Setup } from './setup.ts'
import { SETUP_FIELDS, type SetupFields, setupOf } from './setup-fields.ts'
import { AEROSOL_SOURCES } from './sources.ts'

const ForecastFields = z.strictObject({
  ...SETUP_FIELDS,
  fill_mL: oneOrMore.optional(),
  Q_Lmin: oneOrMore.optional(),
  quantity: z.string().optional(),
})
type ForecastFields = z.infer<typeof ForecastFields>

/** The set-up by which infants were studied with a mask: 50 mL, 30/min, five minutes of 3 mL (LIN_2007). */
const INFANT_STUDY: SetupFields = {
  pattern: 'infant',
  interface: 'mask',
  weight_kg: 7,
  stop_after_min: 5,
}

/** Wordings under which one figure is asked for, and what they take for granted. */
const ASKED: readonly {
  readonly name: string
  readonly asked: RegExp
  readonly figure: FigureName
  readonly defaults?: SetupFields
  /** As a percentage of the dose. */
  readonly ofDose?: true
}[] = [
  {
    name: 'drug in 1-5 um at the mouthpiece',
    asked: /^(drug|medicine) in 1-5 um/,
    figure: 'fineParticleMg',
  },
  {
    name: 'infant inhaled mass',
    asked: /^infant inhaled mass/,
    figure: 'inhaledMg',
    defaults: INFANT_STUDY,
    ofDose: true,
  },
  { name: 'lung share of the dose', asked: /^lung (share|deposition)/, figure: 'lungPercent' },
  { name: 'inhaled mass', asked: /^inhaled (mass|drug|medicine)/, figure: 'inhaledMg' },
  {
    name: 'run time to sputter',
    asked: /^(run )?time to (the )?(first )?sputter/,
    figure: 'minutesToSputter',
  },
  { name: 'run time', asked: /^run time$/, figure: 'minutesToEnd' },
]

type Quantity = {
  readonly quantity: string
  readonly unit: string
  readonly value: number | readonly number[]
}
type Made = { readonly setup: Setup; readonly forecast: Forecast }
/** Without a quantity: set-up, forecast, and each of its figures as it can be asked for by name. */
type Whole = Made & { readonly quantities: readonly Quantity[] }
type Result = Whole | Quantity

/** The whole chain from cup to lung. */
export const forecastCalculation = calculation<ForecastFields, Result | readonly Result[]>({
  name: 'forecast',
  purpose:
    'What a set-up will do: run time [min], medicine out, inhaled and by region [mg], each low, likely and high.',
  input: ForecastFields,
  run: ({ quantity, ...fields }) => {
    const asked = quantity === undefined ? undefined : askedFor(quantity)
    const setups = setupsOf({ ...asked?.defaults, ...fields })
    const forecasts = setups.map((setup) => ({ setup, forecast: forecast(setup) }))
    const first = forecasts[0] as Made // setupsOf gives one at least
    const { lungPercent, leavesCupMg, minutesToEnd } = explainForecast(first.setup, first.forecast)
    const worked = [minutesToEnd, leavesCupMg, lungPercent].flatMap((each) => each ?? [])
    const working = {
      steps: worked.flatMap(({ steps }) => steps),
      sources: [...new Set(worked.flatMap(({ sources }) => sources))],
      cautions: first.forecast.cautions,
    }
    if (!asked || quantity === undefined) {
      const study = Object.keys(fields).length === 0 ? infantStudy() : []
      const whole = forecasts.map((made) => ({ ...made, quantities: [...quantitiesOf(made), ...study] }))
      const [only, ...more] = whole
      return { result: only && more.length === 0 ? only : whole, working }
    }
    const values = forecasts.map((made) => figureOf(made, asked))
    const value = values.length === 1 ? (values[0] ?? Number.NaN) : values
    const unit = asked.ofDose ? '%' : FIGURES[asked.figure].unit
    return { result: { quantity, unit, value }, working }
  },
})

/** Every figure that is known, by its own name; after them those that go by other words too. */
function quantitiesOf(made: Made): Quantity[] {
  const known = (Object.keys(FIGURES) as FigureName[]).flatMap((figure) => {
    const ends = made.forecast.figures[figure]
    return ends ? [{ quantity: figure, unit: FIGURES[figure].unit, value: ends.likely }] : []
  })
  const alike = ASKED.flatMap(({ name, figure, defaults }) => {
    const same = defaults === undefined && known.find(({ quantity }) => quantity === figure)
    return same ? [{ ...same, quantity: name }] : []
  })
  return [...known, ...alike]
}

/** Where nothing at all is given, what was published of infants stands beside the adult on a mouthpiece. */
function infantStudy(): Quantity[] {
  return ASKED.flatMap((asked) => {
    if (asked.defaults === undefined) return []
    const setup = setupOf(asked.defaults)
    return [{ quantity: asked.name, unit: '%', value: figureOf({ setup, forecast: forecast(setup) }, asked) }]
  })
}

function askedFor(quantity: string): (typeof ASKED)[number] {
  const found = ASKED.find(({ asked }) => asked.test(quantity))
  if (found) return found
  if (Object.hasOwn(FIGURES, quantity)) {
    return { name: quantity, asked: /^/, figure: quantity as FigureName }
  }
  throw new BadInput('quantity', quantity, Object.keys(FIGURES).join(', '))
}

function figureOf(made: Made, { figure, ofDose }: (typeof ASKED)[number]): number {
  const ends = made.forecast.figures[figure]
  if (!ends) {
    const why = made.forecast.notKnown.find(({ figures }) => figures.includes(figure))?.why
    throw new BadInput('quantity', figure, `a figure that is known for this set-up. ${why}`)
  }
  return ofDose ? (100 * ends.likely) / made.setup.medicine.doseMg : ends.likely
}

/** A set-up for every fill and every flow that is given. */
function setupsOf(fields: Omit<ForecastFields, 'quantity'>): Setup[] {
  const { fill_mL = 3, Q_Lmin = 8, ...rest } = fields
  return each(fill_mL).flatMap((fill) =>
    each(Q_Lmin).map((flow) => setupOf({ ...rest, fill_mL: fill, Q_Lmin: flow })),
  )
}

const RunFields = z.strictObject({
  fill_mL: z.number(),
  Q_Lmin: z.number(),
  minutes: z.number(),
  ended: z.enum(['sputter', 'stopped']).optional(),
  left_g: z.number().optional(),
  gas: z.string().optional(),
  RH_in: z.number().optional(),
  T_room_degC: z.number().optional(),
  P_Pa: z.number().optional(),
})
const CalibrateFields = z.strictObject({ runs: z.array(RunFields).max(1000) })

/** Learning a model of cup from its charted runs. */
export const calibrateCalculation = calculation<z.infer<typeof CalibrateFields>, Calibration>({
  name: 'calibrate',
  purpose:
    'Droplet rate [g/min at 8 L/min] and volume at the first sputter [mL] of a model of jet cup, from charted runs.',
  input: CalibrateFields,
  run: ({ runs }) => {
    const result = calibrate(runs.map(runOf))
    const { dropletGPerMin, sputterMl, scatter } = result
    const three = ({ low, likely, high }: typeof scatter) =>
      `${low.toFixed(3)}, ${likely.toFixed(3)}, ${high.toFixed(3)}`
    return {
      result,
      working: {
        steps: [
          `From ${result.runs} runs; 5th percentile, median and 95th.`,
          `Droplets at 8 L/min: ${three(dropletGPerMin)} g/min.`,
          `Volume at the first sputter: ${three(sputterMl)} mL.`,
          `Run to run, in the logarithm of the time: ${three(scatter)}.`,
        ],
        sources: [
          AEROSOL_SOURCES.CALIBRATION,
          AEROSOL_SOURCES.USUAL_FIGURES,
          AEROSOL_SOURCES.KLEINSTREUER_2014,
        ],
        cautions: result.oddRuns.map((i) => `Run ${i + 1} lies far from the rest: look at it again.`),
      },
    }
  },
})

function runOf(fields: z.infer<typeof RunFields>, i: number): ChartedRun {
  const { relativeHumidity, temperatureCel } = COVERED_SETUP
  const { RH_in = 0, T_room_degC = 22, P_Pa = 101_325, ended = 'sputter', minutes } = fields
  requireWithin(`runs[${i}].RH_in`, RH_in, relativeHumidity)
  requireWithin(`runs[${i}].T_room_degC`, T_room_degC, temperatureCel)
  requireWithin(`runs[${i}].P_Pa`, P_Pa, { low: 60_000, high: 110_000, unit: 'Pa' })
  return {
    conditions: {
      fillMl: fields.fill_mL,
      gas: gasOf(fields.gas ?? 'air'),
      flowLPerMin: fields.Q_Lmin,
      relativeHumidity: RH_in,
      roomCel: T_room_degC,
      pressurePa: P_Pa,
    },
    ended,
    minutes,
    leftG: fields.left_g,
  }
}
