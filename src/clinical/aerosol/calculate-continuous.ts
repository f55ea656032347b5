import { z } from 'zod'
import { BadInput, requireWithin } from '../worked.ts'
import { answering, answersFrom, figured, shown } from './answers.ts'
import { ADULT_ORDER_MG_PER_H, continuousForecast, continuousMix, outputOf } from './continuous.ts'
import { AEROSOL_SOURCES } from './sources.ts'

const { BALANCE, VOLUME_OUTPUT, BESBES_2000, PT_2016, DENNIS_1990, BERLINSKI_1998 } = AEROSOL_SOURCES
const number = z.number().optional()
const fields = {
  mg_h: number,
  stock_mg_mL: number,
  cup_output_mL_h: number,
  hours: number,
  conc_mg_mL: number,
  hour1_mg: number,
  next_5h_mg: number,
  fill_mL: number,
  pump_mL_h: number,
  capacity_mL: number,
}
const DOSE = { low: 0.001, high: 10_000 } as const
const answer = answersFrom(fields)
type Fields = z.infer<z.ZodObject<typeof fields>>

/** The published ends of a large cup, or the output that is given. */
function sentMgPerH({ conc_mg_mL, cup_output_mL_h }: Fields & { conc_mg_mL: number }) {
  requireWithin('conc_mg_mL', conc_mg_mL, { low: 0.0001, high: 1000, unit: 'mg/mL' })
  const output = outputOf(
    cup_output_mL_h === undefined ? { kind: 'large-volume' } : { outputMlPerH: cup_output_mL_h },
  )
  const ends = output.low === output.high ? [output.low] : [output.low, output.high]
  const sent = ends.map((mLPerH) => mLPerH * conc_mg_mL)
  return figured(
    sent,
    ...ends.map((mLPerH) => `${mLPerH} mL/h × ${conc_mg_mL} mg/mL = ${shown(mLPerH * conc_mg_mL)} mg/h`),
  )
}

function hoursToEmpty(input: Fields & { fill_mL: number; cup_output_mL_h: number }) {
  const { pump_mL_h = 0, cup_output_mL_h } = input
  if (pump_mL_h >= cup_output_mL_h)
    throw new BadInput('pump_mL_h', pump_mL_h, `below ${cup_output_mL_h}: else the cup is never empty`)
  const hours = continuousForecast({
    cup: { outputMlPerH: cup_output_mL_h },
    fillMl: input.fill_mL,
    concentrationMgPerMl: 1,
    pumpMlPerH: pump_mL_h,
    capacityMl: input.capacity_mL ?? Math.max(5, input.fill_mL),
    emptyAtMl: 0,
    hours: 1,
  }).hoursToEmpty.likely
  return figured(
    hours,
    `${input.fill_mL} mL ÷ (${cup_output_mL_h} − ${pump_mL_h} by pump) mL/h = ${shown(hours)} h`,
  )
}

/** Hours of nebulization: what to mix, what is sent, how long it lasts. */
export const continuous = answering({
  name: 'continuous',
  purpose:
    'Continuous nebulization: mixture [mL], strength to load [mg/mL], dose rate sent [mg/h], hours until empty.',
  fields,
  cautions: [
    'Only a part of what is sent is inhaled; an output that was not measured moves the dose by half.',
  ],
  answers: [
    answer({
      name: 'continuous mix',
      asked: /^continuous mix/,
      unit: 'mL',
      needs: ['mg_h', 'stock_mg_mL', 'cup_output_mL_h', 'hours'],
      value: ({ mg_h, stock_mg_mL, cup_output_mL_h, hours }) => {
        const { drugMl, diluentMl, totalMl } = continuousMix(mg_h, stock_mg_mL, cup_output_mL_h, hours)
        return figured(
          [drugMl, diluentMl, totalMl],
          `drug: ${mg_h} mg/h ÷ ${stock_mg_mL} mg/mL × ${hours} h = ${shown(drugMl)} mL`,
          `in all: ${cup_output_mL_h} mL/h × ${hours} h = ${shown(totalMl)} mL`,
          `diluent: ${shown(totalMl)} − ${shown(drugMl)} = ${shown(diluentMl)} mL`,
        )
      },
      sources: [BALANCE],
    }),
    answer({
      name: 'concentration to load',
      asked: /^concentration to load/,
      unit: 'mg/mL',
      needs: ['mg_h', 'cup_output_mL_h'],
      value: ({ mg_h, cup_output_mL_h }) => {
        requireWithin('mg_h', mg_h, { ...DOSE, unit: 'mg/h' })
        const strength = mg_h / outputOf({ outputMlPerH: cup_output_mL_h }).likely
        return figured(strength, `${mg_h} mg/h ÷ ${cup_output_mL_h} mL/h = ${shown(strength)} mg/mL`)
      },
      sources: [BALANCE, VOLUME_OUTPUT],
    }),
    answer({
      name: 'dose rate actually sent to the cup',
      asked: /^dose rate actually sent/,
      unit: 'mg/h',
      needs: ['conc_mg_mL'],
      value: sentMgPerH,
      sources: [BALANCE, VOLUME_OUTPUT, DENNIS_1990, BERLINSKI_1998],
    }),
    answer({
      name: 'six-hour total',
      asked: /^six-hour total/,
      unit: 'mg',
      needs: ['hour1_mg', 'next_5h_mg'],
      value: ({ hour1_mg, next_5h_mg }) => {
        requireWithin('hour1_mg', hour1_mg, { ...DOSE, unit: 'mg' })
        requireWithin('next_5h_mg', next_5h_mg, { ...DOSE, unit: 'mg' })
        const total = hour1_mg + next_5h_mg
        return figured(total, `${hour1_mg} mg + ${next_5h_mg} mg = ${shown(total)} mg`)
      },
      sources: [BESBES_2000],
    }),
    answer({
      name: 'hours until the cup is empty',
      asked: /^hours until/,
      unit: 'h',
      needs: ['fill_mL', 'cup_output_mL_h'],
      value: hoursToEmpty,
      sources: [BALANCE],
    }),
    answer({
      name: 'adult continuous order range',
      asked: /^adult continuous order range/,
      unit: 'mg/h',
      needs: [],
      value: () => {
        const { low, high } = ADULT_ORDER_MG_PER_H
        return figured([low, high], `published orders run from ${low} to ${high} mg/h`)
      },
      sources: [PT_2016],
    }),
  ],
})
