import { z } from 'zod'
import { requireWithin } from '../worked.ts'
import { answering, answersFrom } from './answers.ts'
import { gasOf } from './gas.ts'
import {
  dewPointCel,
  saturatedWaterGPerM3,
  saturationHumidityRatio,
  saturationPressurePa,
  vaporLossMgPerMin,
  wetBulbCel,
} from './psychrometrics.ts'
import { AEROSOL_SOURCES } from './sources.ts'

const { SONNTAG_1990, PSYCHROLIB, GAS_PROPERTIES, BALANCE } = AEROSOL_SOURCES
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

/** A relative humidity, once it is one. */
function partOf(relativeHumidity: number): number {
  requireWithin('relativeHumidity', relativeHumidity, { low: 0, high: 1, unit: '1' })
  return relativeHumidity
}

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
      value: ({ T_degC }) => saturationPressurePa(T_degC),
      sources: [SONNTAG_1990],
    }),
    answer({
      name: 'saturation humidity ratio',
      asked: /^saturation humidity ratio/,
      unit: 'kg/kg',
      needs: ['T_degC'],
      value: (input, wording) => saturationHumidityRatio(input.T_degC, pressureOf(input, wording)),
      sources: [SONNTAG_1990],
    }),
    answer({
      name: 'absolute humidity at saturation',
      asked: /^absolute humidity at saturation/,
      unit: 'g/m3',
      needs: ['T_degC'],
      value: ({ T_degC }) => saturatedWaterGPerM3(T_degC),
      sources: [SONNTAG_1990, BALANCE],
    }),
    answer({
      name: 'vapor pressure',
      asked: /^(actual |partial )?vapor pressure/,
      unit: 'Pa',
      needs: ['T_degC', 'RH'],
      value: ({ T_degC, RH }) => partOf(RH) * saturationPressurePa(T_degC),
      sources: [SONNTAG_1990],
    }),
    answer({
      name: 'absolute humidity',
      asked: /^absolute humidity/,
      unit: 'g/m3',
      needs: ['T_degC', 'RH'],
      value: ({ T_degC, RH }) => partOf(RH) * saturatedWaterGPerM3(T_degC),
      sources: [SONNTAG_1990, BALANCE],
    }),
    answer({
      name: 'dew point',
      asked: /^dew point/,
      unit: 'Cel',
      needs: ['T_degC', 'RH'],
      value: ({ T_degC, RH }) => dewPointCel(T_degC, RH),
      sources: [SONNTAG_1990],
    }),
    answer({
      name: 'wet bulb',
      asked: /wet bulb|^lowest cup temperature/,
      unit: 'Cel',
      needs: ['T_gas_degC', 'RH'],
      value: (input, wording) =>
        wetBulbCel({
          gas: gasFor(input, wording),
          temperatureCel: input.T_gas_degC,
          relativeHumidity: input.RH,
          pressurePa: pressureOf(input, wording),
        }),
      sources: [PSYCHROLIB, BALANCE, GAS_PROPERTIES],
    }),
    answer({
      name: 'water lost as vapor',
      asked: /^water lost as vapor/,
      unit: 'mg/min',
      needs: ['Q_Lmin_at_20C_1atm', 'T_cup_degC', 'T_gas_degC', 'RH_in'],
      value: ({ Q_Lmin_at_20C_1atm, T_cup_degC, T_gas_degC, RH_in, P_Pa, gas }) =>
        vaporLossMgPerMin(
          {
            gas: gasOf(gas ?? 'air'),
            temperatureCel: T_gas_degC,
            relativeHumidity: RH_in,
            pressurePa: P_Pa ?? SEA_PA,
          },
          Q_Lmin_at_20C_1atm,
          T_cup_degC,
        ),
      sources: [SONNTAG_1990, BALANCE],
    }),
  ],
})
