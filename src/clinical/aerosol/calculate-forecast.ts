import { z } from 'zod'
import { calculation, type Working } from '../calculation.ts'
import { BadInput, requireWithin, type Worked } from '../worked.ts'
import { each, oneOrMore, shown } from './answers.ts'
import { type Calibration, type ChartedRun, calibrate } from './calibrate.ts'
import { JET_DROPLETS, JET_SPUTTER } from './cup-kinds.ts'
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

/** A wording under which one figure is asked for, and what it takes for granted. */
type Asked = {
  readonly name: string
  readonly asked: RegExp
  readonly figure: FigureName
  readonly defaults?: SetupFields
  /** As a percentage of the dose. */
  readonly ofDose?: true
}

const INFANT: Asked = {
  name: 'infant inhaled mass',
  asked: /^infant inhaled mass/,
  figure: 'inhaledMg',
  defaults: INFANT_STUDY,
  ofDose: true,
}

const ASKED: readonly Asked[] = [
  {
    name: 'drug in 1-5 um at the mouthpiece',
    asked: /^(drug|medicine) in 1-5 um/,
    figure: 'fineParticleMg',
  },
  INFANT,
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
    const setups = setupsOf({ ...asked?.defaults, ...saidIn(quantity ?? '', fields), ...fields })
    const forecasts = setups.map((setup) => ({ setup, forecast: forecast(setup) }))
    const working = workingOf(forecasts, asked?.figure)
    const withShares = (made: readonly Made[]) => ({
      ...working,
      steps: [...working.steps, ...made.map(ofDoseStep)],
    })
    if (!asked || quantity === undefined) {
      const study = Object.keys(fields).length === 0 ? [infantStudy()] : []
      const told = study.map(studied)
      const whole = forecasts.map((made) => ({ ...made, quantities: [...quantitiesOf(made), ...told] }))
      const [only, ...more] = whole
      return { result: only && more.length === 0 ? only : whole, working: withShares(study) }
    }
    const values = forecasts.map((made) => figureOf(made, asked))
    const value = values.length === 1 ? (values[0] ?? Number.NaN) : values
    const unit = asked.ofDose ? '%' : FIGURES[asked.figure].unit
    return { result: { quantity, unit, value }, working: asked.ofDose ? withShares(forecasts) : working }
  },
})

/** The steps of the figure that was asked for, or of every figure, once each; by set-up where there are several. */
function workingOf(forecasts: readonly Made[], asked: FigureName | undefined): Working {
  const explained = forecasts.map(({ setup, forecast: made }) => {
    const all = explainForecast(setup, made)
    const names = (Object.keys(all) as FigureName[]).filter((name) => asked === undefined || name === asked)
    const where = `${setup.fillMl} mL at ${setup.gas.flowLPerMin} L/min: `
    const worked = names.flatMap((name) => all[name] ?? [])
    const own = new Set(names.flatMap((name) => stepsUnder(name, all[name])))
    return { worked, steps: [...own].map((step) => (forecasts.length > 1 ? where : '') + step) }
  })
  return {
    steps: explained.flatMap(({ steps }) => steps),
    sources: [...new Set(explained.flatMap(({ worked }) => worked.flatMap(({ sources }) => sources)))],
    cautions: [...new Set(forecasts.flatMap(({ forecast: made }) => made.cautions))],
  }
}

/** What several figures share stands once; what closes each is told under its name. */
function stepsUnder(name: FigureName, worked: Worked | undefined): string[] {
  const steps = worked?.steps ?? []
  return steps.map((step, at) => (at === steps.length - 1 ? `${name}: ${step}` : step))
}

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
function infantStudy(): Made {
  const setup = setupOf(INFANT_STUDY)
  return { setup, forecast: forecast(setup) }
}

function studied(made: Made): Quantity {
  return { quantity: INFANT.name, unit: '%', value: figureOf(made, INFANT) }
}

/** What is inhaled as a percentage of the dose, with the set-up that it belongs to. */
function ofDoseStep({ setup, forecast: { figures } }: Made): string {
  const { doseMg } = setup.medicine
  const { tidalMl, ratePerMin } = setup.breath
  const inhaledMg = figures.inhaledMg?.likely ?? Number.NaN
  const stopped = setup.stopAfterMin === undefined ? '' : `, stopped after ${setup.stopAfterMin} min`
  return `${INFANT.name} (${tidalMl} mL, ${ratePerMin}/min, ${setup.fillMl} mL in the cup${stopped}): 100 × ${shown(inhaledMg)} mg ÷ ${doseMg} mg = ${shown((100 * inhaledMg) / doseMg)} %`
}

/**
 * What the wording of a quantity says of the set-up: its flow, and how far off a mask is held.
 * @throws BadInput where a field says something else
 */
function saidIn(
  quantity: string,
  fields: Omit<ForecastFields, 'quantity'>,
): Omit<ForecastFields, 'quantity'> {
  const flow = quantity.match(/([\d.]+) L\/min/)?.[1]
  const off = quantity.match(/mask (?:held )?([\d.]+) cm off/)?.[1]
  const said = {
    ...(flow !== undefined && { Q_Lmin: Number(flow) }),
    ...(off !== undefined && { interface: 'mask held off', distance_cm: Number(off) }),
  }
  for (const [field, value] of Object.entries(said)) {
    const given = fields[field as keyof typeof said]
    if (given !== undefined && given !== value)
      throw new BadInput(field, given, `${value}, as the quantity says: ${quantity}`)
  }
  return said
}

function askedFor(quantity: string): Asked {
  const found = ASKED.find(({ asked }) => asked.test(quantity))
  if (found) return found
  if (Object.hasOwn(FIGURES, quantity)) {
    return { name: quantity, asked: /^/, figure: quantity as FigureName }
  }
  throw new BadInput('quantity', quantity, Object.keys(FIGURES).join(', '))
}

function figureOf(made: Made, { figure, ofDose }: Asked): number {
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
          `Published of jet cups, before any run: droplets ${three(JET_DROPLETS)} g/min at 8 L/min, first sputter at ${three(JET_SPUTTER)} mL.`,
          `Bayes' rule over ${result.runs} runs (${runs.map((run) => `${run.fill_mL} mL at ${run.Q_Lmin} L/min: ${run.minutes} min, ${run.ended ?? 'sputter'}`).join('; ')}); below the 5th percentile, median and 95th of what they allow.`,
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
