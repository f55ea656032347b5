import { z } from 'zod'
import { answering, answersFrom, breathFrom, figured, type GasKind, shown } from '../aerosol/index.ts'
import { type Calculation, calculation } from '../calculation.ts'
import { BadInput } from '../worked.ts'
import { barometricPressure, inspiredOxygenPressure } from './altitude.ts'
import { afterRun, type Cylinder, cylinderMinutes, KEPT_BAR, KEPT_PSI, type UsSize } from './cylinder.ts'
import { helioxActualFlow, helioxFactor, helioxReading } from './heliox-flow.ts'
import { adviseGas, type GasAdvice, OXYGEN_DRIVEN_LIMIT_MIN } from './hypercapnic-risk.ts'
import { cannulaRuleOfThumb, cannulaShare, entrainment, inspiredOxygen } from './inspired-oxygen.ts'
import { OXYGEN_SOURCES } from './sources.ts'

const number = z.number().optional()

const oxygenFields = {
  VT_mL: number,
  rate: number,
  I: number,
  E: number,
  Ti_s: number,
  Te_s: number,
  Q_Lmin: number,
  Q_neb_Lmin: number,
  Q_O2_Lmin: number,
  cannula_Lmin: number,
  reservoir_mL: number,
  anatomic_mL: number,
  air: number,
  FiO2: number,
  gas: z.string().optional(),
}
const oxygenAnswer = answersFrom(oxygenFields)
type OxygenFields = z.infer<z.ZodObject<typeof oxygenFields>>

function during(input: OxygenFields, gas: string) {
  return inspiredOxygen({
    breath: breathFrom({ VT_mL: input.VT_mL, rate_per_min: input.rate, I: input.I, E: input.E }),
    gas: (input.gas ?? gas) as GasKind, // inspiredOxygen refuses any other
    flowLPerMin: input.Q_neb_Lmin ?? 8,
    reservoirMl: input.reservoir_mL ?? 0,
    cannulaLPerMin: input.cannula_Lmin ?? 0,
    anatomicMl: input.anatomic_mL ?? 50,
  })
}

/** Share of oxygen if all gases mixed ideally, with the volumes it comes from. */
function idealDuring(input: OxygenFields, gas: string) {
  const { idealShare, share } = during(input, gas)
  return figured(idealShare, ...share.steps)
}

const ratioStep = (share: number, air: number, ratio: number) =>
  `(1 − ${share}) ÷ (${share} − ${air}) = ${shown(ratio)} of air to 1 of oxygen`

const { MIXING, SHAPIRO, GEA_2010, CANNULA_RULE, ENTRAINMENT, CAILLE_2009, EXTRACTION } = OXYGEN_SOURCES

/** The textbook's cannula; its reservoir field means the anatomic one. */
function textbook(input: OxygenFields & { VT_mL: number; Ti_s: number; Te_s: number; Q_Lmin: number }) {
  const airShare = input.air ?? 0.2
  const { share, oxygenMl } = cannulaShare({
    tidalMl: input.VT_mL,
    inS: input.Ti_s,
    outS: input.Te_s,
    flowLPerMin: input.Q_Lmin,
    anatomicMl: input.reservoir_mL ?? 50,
    airShare,
  })
  const [oxygen, tidal] = [shown(oxygenMl), input.VT_mL]
  return figured(
    share,
    `${input.Q_Lmin} L/min for ${input.Ti_s} s and what the pause fills (at most ${input.reservoir_mL ?? 50} mL): ${oxygen} of ${tidal} mL are oxygen`,
    `(${oxygen} + (${tidal} − ${oxygen}) × ${airShare}) ÷ ${tidal} = ${shown(share)}`,
  )
}

const inspired = answering({
  name: 'inspired-oxygen',
  purpose:
    'Share of oxygen breathed in: during a treatment (a range), with a cannula, and by air entrainment.',
  fields: oxygenFields,
  cautions: [
    'During a treatment never one figure: from 0.45 of the ideal rise to all of it. Steer by saturation.',
  ],
  answers: [
    oxygenAnswer({
      name: 'cannula FiO2, textbook reservoir method',
      asked: /^cannula FiO2, textbook|^same with VT/,
      unit: '1',
      needs: ['VT_mL', 'Ti_s', 'Te_s', 'Q_Lmin'],
      value: textbook,
      sources: [SHAPIRO],
    }),
    oxygenAnswer({
      name: 'cannula rule of thumb',
      asked: /^cannula rule of thumb/,
      unit: '1',
      needs: ['Q_Lmin'],
      value: ({ Q_Lmin }) => {
        const share = cannulaRuleOfThumb(Q_Lmin)
        return figured(share, `0.2 + 0.04 × ${Q_Lmin} L/min = ${shown(share)}`)
      },
      sources: [CANNULA_RULE],
    }),
    oxygenAnswer({
      name: 'oxygen-driven nebulizer, ideal mixing',
      asked: /^oxygen-driven nebulizer/,
      unit: '1',
      needs: ['Q_neb_Lmin'],
      value: (input) => idealDuring(input, 'oxygen'),
      sources: [MIXING, CAILLE_2009, EXTRACTION],
    }),
    oxygenAnswer({
      name: 'air-driven nebulizer with cannula, ideal mixing',
      asked: /^air-driven nebulizer|^same, cannula/,
      unit: '1',
      needs: ['cannula_Lmin'],
      value: (input) => idealDuring(input, 'air'),
      sources: [MIXING, SHAPIRO, GEA_2010],
    }),
    oxygenAnswer({
      name: 'inspired oxygen during the treatment, low and high',
      asked: /^inspired oxygen/,
      unit: '1',
      needs: ['gas', 'Q_neb_Lmin'],
      value: (input) => {
        const { ends, share } = during(input, input.gas)
        return figured(ends, ...share.steps)
      },
      sources: [MIXING, SHAPIRO, GEA_2010, EXTRACTION],
    }),
    oxygenAnswer({
      name: 'air to oxygen ratio',
      asked: /^air to oxygen ratio/,
      unit: '1',
      needs: ['FiO2'],
      value: ({ FiO2, air = 0.21 }) => {
        const { airToOxygen } = entrainment(FiO2, 4, air)
        return figured(airToOxygen, ratioStep(FiO2, air, airToOxygen))
      },
      sources: [ENTRAINMENT],
    }),
    oxygenAnswer({
      name: 'total flow of an entrainment mask',
      asked: /^total flow of a/,
      unit: 'L/min',
      needs: ['FiO2', 'Q_O2_Lmin'],
      value: ({ FiO2, Q_O2_Lmin, air = 0.21 }) => {
        const { airToOxygen, totalLPerMin } = entrainment(FiO2, Q_O2_Lmin, air)
        const total = `${Q_O2_Lmin} L/min × (1 + ${shown(airToOxygen)}) = ${shown(totalLPerMin)} L/min`
        return figured(totalLPerMin, ratioStep(FiO2, air, airToOxygen), total)
      },
      sources: [ENTRAINMENT],
    }),
  ],
})

const cylinderFields = {
  size: z.string().optional(),
  psi: number,
  reserve_psi: number,
  water_L: number,
  bar: number,
  reserve_bar: number,
  flow_Lmin: number,
  run_min: number,
}
const cylinderAnswer = answersFrom(cylinderFields)

function cylinderOf(input: z.infer<z.ZodObject<typeof cylinderFields>>): Cylinder {
  const { size, psi, water_L, bar } = input
  requireOneScale(input)
  if (size !== undefined) {
    if (psi === undefined) throw new BadInput('psi', psi, 'beside the size, what the gauge shows')
    return { size: size as UsSize, psi, keptPsi: input.reserve_psi ?? KEPT_PSI } // cylinderMinutes refuses any other
  }
  if (water_L !== undefined) {
    if (bar === undefined) throw new BadInput('bar', bar, 'beside water_L, what the gauge shows')
    return { waterL: water_L, bar, keptBar: input.reserve_bar ?? KEPT_BAR }
  }
  throw new BadInput('size', size, 'size and psi, or water_L and bar')
}

/** A size goes with psi, liters of water with bar: nothing of the other way is passed over in silence. */
function requireOneScale(input: z.infer<z.ZodObject<typeof cylinderFields>>): void {
  const us = ['size', 'psi', 'reserve_psi'] as const
  const metric = ['water_L', 'bar', 'reserve_bar'] as const
  const [usField] = us.filter((field) => input[field] !== undefined)
  const [metricField] = metric.filter((field) => input[field] !== undefined)
  if (usField === undefined || metricField === undefined) return
  throw new BadInput(
    metricField,
    input[metricField],
    `not beside ${usField}: size with psi, or water_L with bar`,
  )
}

const { HELIOX_FACTORS, HELIOX_DENSITY } = OXYGEN_SOURCES

const cylinder = answering({
  name: 'cylinder',
  purpose: 'Minutes that a cylinder lasts above what is kept in it [min], and what a run leaves.',
  fields: cylinderFields,
  answers: [
    cylinderAnswer({
      name: 'cylinder minutes',
      asked: /^cylinder minutes/,
      unit: 'min',
      needs: ['flow_Lmin'],
      value: (input) => cylinderMinutes(cylinderOf(input), input.flow_Lmin),
    }),
    cylinderAnswer({
      name: 'minutes over after the run',
      asked: /^minutes over/,
      unit: 'min',
      needs: ['flow_Lmin', 'run_min'],
      value: (input) => {
        const { minutesOver, lasts } = afterRun(cylinderOf(input), input.flow_Lmin, input.run_min)
        const over = `${shown(lasts.value)} min − ${input.run_min} min of the run = ${shown(minutesOver)} min`
        return { ...lasts, value: minutesOver, steps: [...lasts.steps, over] }
      },
    }),
  ],
})

const helioxFields = { mix: z.string().optional(), reading_Lmin: number, wanted_Lmin: number }
const helioxAnswer = answersFrom(helioxFields)

const helioxFlow = answering({
  name: 'heliox-flow',
  purpose:
    'A helium mixture through an oxygen flow meter: factor, what truly flows, and what the meter must show [L/min].',
  fields: helioxFields,
  answers: [
    helioxAnswer({
      name: 'heliox flowmeter factor',
      asked: /^heliox flow ?meter factor/,
      unit: '1',
      needs: ['mix'],
      value: ({ mix }) => {
        const { told, byDensity } = helioxFactor(mix)
        return figured(
          told,
          `${told} L/min flow for each L/min read with ${mix}; √(density of oxygen ÷ density of ${mix}) = ${shown(byDensity)}`,
        )
      },
      sources: [HELIOX_FACTORS, HELIOX_DENSITY],
    }),
    helioxAnswer({
      name: 'actual heliox flow',
      asked: /^actual heliox flow/,
      unit: 'L/min',
      needs: ['mix', 'reading_Lmin'],
      value: ({ mix, reading_Lmin }) => helioxActualFlow(mix, reading_Lmin),
    }),
    helioxAnswer({
      name: 'reading for a wanted flow',
      asked: /^reading for/,
      unit: 'L/min',
      needs: ['mix', 'wanted_Lmin'],
      value: ({ mix, wanted_Lmin }) => helioxReading(mix, wanted_Lmin),
    }),
  ],
})

const altitudeFields = { height_m: number, P_Pa: number, FiO2: number }
const altitudeAnswer = answersFrom(altitudeFields)

const altitude = answering({
  name: 'altitude',
  purpose: 'Barometric pressure at a height [Pa], and the pressure of oxygen in moist inspired air [kPa].',
  fields: altitudeFields,
  answers: [
    altitudeAnswer({
      name: 'barometric pressure',
      asked: /^barometric pressure/,
      unit: 'Pa',
      needs: ['height_m'],
      value: ({ height_m }) => barometricPressure(height_m),
    }),
    altitudeAnswer({
      name: 'inspired oxygen pressure',
      asked: /^(inspired oxygen pressure|PiO2)/,
      unit: 'kPa',
      needs: ['FiO2'],
      value: ({ FiO2, P_Pa, height_m = 0 }) => {
        if (P_Pa !== undefined) return inspiredOxygenPressure(FiO2, P_Pa)
        const pressure = barometricPressure(height_m)
        const inspired = inspiredOxygenPressure(FiO2, pressure.value)
        return {
          ...inspired,
          steps: [...pressure.steps, ...inspired.steps],
          sources: [...inspired.sources, ...pressure.sources],
        }
      },
    }),
  ],
})

const RiskFields = z.strictObject({
  at_risk: z.boolean().optional(),
  air_source: z.boolean().optional(),
  SpO2_percent: z.number().optional(),
  cannula_Lmin: z.number().optional(),
  quantity: z.string().optional(),
})
type RiskFields = z.infer<typeof RiskFields>
type Figure = { readonly quantity: string; readonly unit: string; readonly value: number | readonly number[] }

type Advised = GasAdvice & { readonly quantities: readonly Figure[] }

const hypercapnicRisk: Calculation<RiskFields, Advised | Figure> = calculation({
  name: 'hypercapnic-risk',
  purpose:
    'Which gas may drive a nebulizer where carbon dioxide may rise, the saturation to aim at, and the time limit.',
  input: RiskFields,
  run: ({ at_risk, air_source = true, SpO2_percent = 90, cannula_Lmin = 0, quantity }) => {
    const atRisk = at_risk ?? !/\b(not at|without|no) risk\b/.test(quantity ?? '')
    const advice = adviseGas({
      atRisk,
      airSource: air_source,
      saturationPercent: SpO2_percent,
      cannulaLPerMin: cannula_Lmin,
    })
    return {
      result: quantity === undefined ? withFigures(advice) : riskFigure(quantity, advice),
      working: { steps: adviceSteps(advice), sources: advice.sources, cautions: [] },
    }
  },
})

/** The reasons, and each figure of the advice in words. */
function adviceSteps(advice: GasAdvice): string[] {
  const [low, high] = advice.targetSaturationPercent
  const { cannulaLPerMin: cannula, recheckGasesMin: recheck } = advice
  return [
    ...advice.because,
    `Saturation to aim at: ${low} to ${high} %.`,
    `A run driven by oxygen where carbon dioxide may rise: at most ${OXYGEN_DRIVEN_LIMIT_MIN} minutes.`,
    ...(cannula === null ? [] : [`Oxygen by cannula meanwhile: ${cannula[0]} to ${cannula[1]} L/min.`]),
    ...(recheck === null ? [] : [`Blood gases again after ${recheck[0]} to ${recheck[1]} minutes.`]),
  ]
}

const RISK_FIGURES = ['target saturation', 'advice limit for an oxygen-driven run'] as const

/** The advice, and the figures that it rests on as they can be asked for one by one. */
function withFigures(advice: GasAdvice): Advised {
  return { ...advice, quantities: RISK_FIGURES.map((quantity) => riskFigure(quantity, advice)) }
}

function riskFigure(quantity: string, { targetSaturationPercent }: GasAdvice): Figure {
  if (/target saturation/.test(quantity)) return { quantity, unit: '%', value: targetSaturationPercent }
  if (/limit for an oxygen-driven run/.test(quantity)) {
    return { quantity, unit: 'min', value: OXYGEN_DRIVEN_LIMIT_MIN }
  }
  throw new BadInput('quantity', quantity, RISK_FIGURES.join('; '))
}

/** What can be asked of this subject by name, with JSON in and JSON out. */
export const OXYGEN_CALCULATIONS = [
  inspired,
  cylinder,
  helioxFlow,
  altitude,
  hypercapnicRisk,
] as readonly Calculation[]
