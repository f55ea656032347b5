import { z } from 'zod'
import { requireWithin } from '../worked.ts'
import { answering, answersFrom, figured, shown } from './answers.ts'
import { gasOf, molesPerSecond } from './gas.ts'
import {
  dewPointCel,
  hasDewPoint,
  latentHeat,
  MAGNUS,
  saturatedWaterGPerM3,
  saturationHumidityRatio,
  saturationPressurePa,
  vaporLossMgPerMin,
  vaporRatio,
  wetBulbCel,
} from './psychrometrics.ts'
import { AEROSOL_SOURCES } from './sources.ts'

const { SONNTAG_1990, SONNTAG_1990_ICE, PSYCHROLIB, GAS_PROPERTIES, BALANCE } = AEROSOL_SOURCES
const number = z.number().optional()
const SEA_PA = 101_325

const fields = {
  T_degC: number,
  T_gas_degC: number,
  T_cup_degC: number,
  RH: number,
  RH_in: number,
  P_Pa: number,
  UA_W_K: z.literal(0).optional(),
  Q_Lmin_at_20C_1atm: number,
  gas: z.string().optional(),
}
const answer = answersFrom(fields)
type Fields = z.infer<z.ZodObject<typeof fields>>

/** The pressure that is given, or that the wording says, or that at sea level. */
function pressureOf({ P_Pa }: Fields, wording: string): number {
  const said = wording.match(/([\d.]+) (k?)Pa\b/)
  return P_Pa ?? (said ? Number(said[1]) * (said[2] ? 1000 : 1) : SEA_PA)
}

/** The gas that is given, or that the wording says in brackets. */
function gasFor({ gas }: Fields, wording: string) {
  return gasOf(gas ?? wording.match(/[(,] ?(air|oxygen)\)/)?.[1] ?? 'air')
}

const waterStep = (cel: number) =>
  `${shown(saturationPressurePa(cel))} Pa × 18.015 g/mol ÷ (8.314 × ${shown(cel + 273.15)} K) = ${shown(saturatedWaterGPerM3(cel))} g/m3`

type Loss = Fields & Record<'Q_Lmin_at_20C_1atm' | 'T_cup_degC' | 'T_gas_degC' | 'RH_in', number>

/** Water that the gas carries off: it leaves saturated at the temperature of the cup. */
function vaporLoss({ Q_Lmin_at_20C_1atm: flow, T_cup_degC, T_gas_degC, RH_in, P_Pa, gas }: Loss) {
  const pressurePa = P_Pa ?? SEA_PA
  const entry = { gas: gasOf(gas ?? 'air'), temperatureCel: T_gas_degC, relativeHumidity: RH_in, pressurePa }
  const mgPerMin = vaporLossMgPerMin(entry, flow, T_cup_degC)
  const into = RH_in * saturationPressurePa(T_gas_degC)
  const out = saturationPressurePa(T_cup_degC)
  const moles = 60 * molesPerSecond(flow)
  return figured(
    mgPerMin,
    `${flow} L/min at 20 Cel is ${shown(moles)} mol/min of dry gas`,
    `it enters with ${shown(into)} ÷ (${pressurePa} − ${shown(into)}) and leaves with ${shown(out)} ÷ (${pressurePa} − ${shown(out)}) mol of vapor each`,
    `${shown(moles)} mol/min × ${shown(vaporRatio(out, pressurePa) - vaporRatio(into, pressurePa))} × 18015 mg/mol = ${shown(mgPerMin)} mg/min`,
  )
}

/** A relative humidity, once it is one. */
function partOf(relativeHumidity: number): number {
  requireWithin('relativeHumidity', relativeHumidity, { low: 0, high: 1, unit: '1' })
  return relativeHumidity
}

const saturationStep = (cel: number) =>
  `saturation at ${cel} Cel: 611.2 × e^(17.62 × ${cel} ÷ (243.12 + ${cel})) = ${shown(saturationPressurePa(cel))} Pa`

/** Moist air and gas: what a cup can cool to, and what it loses as vapor. */
export const psychrometrics = answering({
  name: 'psychrometrics',
  purpose:
    'Moist air: saturation pressure [Pa], humidity, dew point, wet bulb [Cel] and the vapor a gas takes up [mg/min].',
  fields,
  answers: [
    answer({
      name: 'saturation vapor pressure',
      asked: /^saturation vapor pressure/,
      unit: 'Pa',
      needs: ['T_degC'],
      value: ({ T_degC }) => figured(saturationPressurePa(T_degC), saturationStep(T_degC)),
      sources: [SONNTAG_1990],
    }),
    answer({
      name: 'saturation humidity ratio',
      asked: /^saturation humidity ratio/,
      unit: 'kg/kg',
      needs: ['T_degC'],
      value: (input, wording) => {
        const pressurePa = pressureOf(input, wording)
        const ratio = saturationHumidityRatio(input.T_degC, pressurePa)
        const vapor = shown(saturationPressurePa(input.T_degC))
        const step = `18.015 ÷ 28.965 × ${vapor} Pa ÷ (${pressurePa} − ${vapor}) Pa = ${shown(ratio)} kg/kg`
        return figured(ratio, saturationStep(input.T_degC), step)
      },
      sources: [SONNTAG_1990],
    }),
    answer({
      name: 'absolute humidity at saturation',
      asked: /^absolute humidity at saturation/,
      unit: 'g/m3',
      needs: ['T_degC'],
      value: ({ T_degC }) => figured(saturatedWaterGPerM3(T_degC), saturationStep(T_degC), waterStep(T_degC)),
      sources: [SONNTAG_1990, BALANCE],
    }),
    answer({
      name: 'vapor pressure',
      asked: /^(actual |partial )?vapor pressure/,
      unit: 'Pa',
      needs: ['T_degC', 'RH'],
      value: ({ T_degC, RH }) => {
        const pascals = partOf(RH) * saturationPressurePa(T_degC)
        const step = `${RH} × ${shown(saturationPressurePa(T_degC))} Pa = ${shown(pascals)} Pa`
        return figured(pascals, saturationStep(T_degC), step)
      },
      sources: [SONNTAG_1990],
    }),
    answer({
      name: 'absolute humidity',
      asked: /^absolute humidity/,
      unit: 'g/m3',
      needs: ['T_degC', 'RH'],
      value: ({ T_degC, RH }) => {
        const grams = partOf(RH) * saturatedWaterGPerM3(T_degC)
        const step = `${RH} × ${shown(saturatedWaterGPerM3(T_degC))} g/m3 = ${shown(grams)} g/m3`
        return figured(grams, saturationStep(T_degC), waterStep(T_degC), step)
      },
      sources: [SONNTAG_1990, BALANCE],
    }),
    answer({
      name: 'dew point',
      asked: /^dew point/,
      unit: 'Cel',
      needs: ['T_degC', 'RH'],
      listed: ({ T_degC, RH }) => T_degC !== undefined && RH !== undefined && hasDewPoint(T_degC, RH),
      value: ({ T_degC, RH }) => {
        const cel = dewPointCel(T_degC, RH)
        const vapor = shown(RH * saturationPressurePa(T_degC))
        const frost = cel < 0
        const { a, b } = frost ? MAGNUS.ice : MAGNUS.water
        const steps = [
          saturationStep(T_degC),
          `${RH} of it is ${vapor} Pa, which would be saturation ${frost ? 'over ice ' : ''}at ${shown(cel)} Cel: x = ln(${vapor} ÷ 611.2), ${b} x ÷ (${a} − x)`,
        ]
        return frost
          ? { value: cel, steps, sources: [SONNTAG_1990_ICE], caution: 'Below 0 Cel frost forms, not dew.' }
          : { value: cel, steps }
      },
      sources: [SONNTAG_1990],
    }),
    answer({
      name: 'wet bulb',
      asked: /wet bulb|^lowest cup temperature/,
      unit: 'Cel',
      needs: ['T_gas_degC', 'RH'],
      value: (input, wording) => {
        const gas = gasFor(input, wording)
        const pressurePa = pressureOf(input, wording)
        const { T_gas_degC: temperatureCel, RH: relativeHumidity } = input
        const cel = wetBulbCel({ gas, temperatureCel, relativeHumidity, pressurePa })
        return figured(
          cel,
          `${gas.kind} at ${temperatureCel} Cel, humidity ${relativeHumidity}, ${pressurePa} Pa, ${shown(gas.heatJPerMolK)} J/mol/K`,
          `at ${shown(cel)} Cel the heat given up over ${shown(temperatureCel - cel)} degrees is what evaporating the water takes that the gas takes up (${shown(latentHeat(cel))} J/g); found by halving`,
        )
      },
      sources: [PSYCHROLIB, BALANCE, GAS_PROPERTIES],
    }),
    answer({
      name: 'water lost as vapor',
      asked: /^water lost as vapor/,
      unit: 'mg/min',
      needs: ['Q_Lmin_at_20C_1atm', 'T_cup_degC', 'T_gas_degC', 'RH_in'],
      value: vaporLoss,
      sources: [SONNTAG_1990, BALANCE],
    }),
  ],
})
