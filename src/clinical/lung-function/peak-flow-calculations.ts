import { z } from 'zod'
import { calculation } from '../calculation.ts'
import { OutsideValidity, requireWithin } from '../worked.ts'
import { peakFlowResponse } from './bronchodilator-response.ts'
import { type Answer, Figure, needed, rangeText, workingOf } from './calculation-parts.ts'
import { METER_SCALES, type MeterScale, type PeakFlow, READING_RANGE, wrightToEu } from './meter-scale.ts'
import {
  bandByPercent,
  bandByPercentStep,
  GUIDE_SOURCES,
  peakFlowBand,
  peakFlowZone,
} from './peak-flow-zone.ts'
import { HEIGHT_LIMITS, SEXES } from './person.ts'
import {
  coverOf,
  PEAK_FLOW_EQUATIONS,
  type PeakFlowEquation,
  peakFlowPercent,
  predictPeakFlow,
} from './predict-peak-flow.ts'
import { peakFlowRepeatability } from './repeatability.ts'

const Scale = z.enum(METER_SCALES)
const flow = (lPerMin: number, scale: MeterScale = 'not stated'): PeakFlow => ({ lPerMin, scale })

const Predicted = z.strictObject({
  equation: z.enum(PEAK_FLOW_EQUATIONS),
  group: z.string().optional(),
  sex: z.enum(SEXES).optional(),
  age_years: Figure.optional(),
  height_cm: Figure.optional(),
  measured_l_min: Figure.optional(),
  scale: Scale.optional(),
})
const Converted = z.strictObject({ equation: z.literal('wright_to_eu'), wright_l_min: Figure })

/** Predicted peak flow, or a Wright-scale reading on the EU scale. */
export const peakFlow = calculation({
  name: 'peak-flow',
  purpose:
    'Predicted peak expiratory flow (L/min) with its meter scale, and percent of it; or a Wright-scale reading on the EU scale.',
  input: z.discriminatedUnion('equation', [Predicted, Converted]),
  run: (given) => (given.equation === 'wright_to_eu' ? converted(given.wright_l_min) : predicted(given)),
})

function converted(wrightLPerMin: number): Answer {
  const worked = wrightToEu(wrightLPerMin)
  return { result: { eu_l_min: worked.value, scale: 'EU' }, working: workingOf([worked]) }
}

function predicted(given: z.infer<typeof Predicted>): Answer {
  requireCover(given.equation, given.age_years, given.height_cm)
  const { reference, predicted, lowerLimit } = predictPeakFlow({
    equation: given.equation,
    sex: needed('sex', given.sex, SEXES.join(' or ')),
    ageYears: needed('age_years', given.age_years, rangeText(coverOf(given.equation).ages)),
    heightCm: needed(
      'height_cm',
      given.height_cm,
      rangeText(coverOf(given.equation).heights ?? HEIGHT_LIMITS),
    ),
    group: given.group,
  })
  const percent =
    given.measured_l_min === undefined
      ? null
      : peakFlowPercent(flow(given.measured_l_min, given.scale), flow(predicted.value, reference.scale))
          .percent
  return {
    result: {
      ...reference,
      predicted_l_min: predicted.value,
      lln_l_min: lowerLimit?.value ?? null,
      percent_predicted: percent?.value ?? null,
    },
    working: workingOf([predicted, lowerLimit, percent]),
  }
}

/** What is there is looked at before what is missing is asked for. */
function requireCover(equation: PeakFlowEquation, ageYears?: number, heightCm?: number): void {
  const { ages, heights } = coverOf(equation)
  if (ageYears !== undefined) {
    const completed = equation === 'nhanes3-1999-pef' ? Math.floor(ageYears) : ageYears
    const inside = completed >= ages.low && completed <= ages.high
    if (!inside) throw new OutsideValidity('age_years', ageYears, ages)
  }
  if (heightCm !== undefined) requireWithin('height_cm', heightCm, heights ?? HEIGHT_LIMITS)
}

/** Do the blows of one session agree? */
export const peakFlowBlows = calculation({
  name: 'peak-flow-repeatability',
  purpose: 'Best of the blows (L/min), difference of the two best, whether they agree, and what to do next.',
  input: z.strictObject({ rule: z.literal('pef_repeatability').optional(), blows: z.array(Figure) }),
  run: ({ blows }) => {
    const judged = peakFlowRepeatability(blows)
    return {
      result: {
        best: judged.best,
        difference_of_two_best: judged.difference,
        repeatable: judged.repeatable,
        ask_for_more: judged.askForMore,
        what_to_do: judged.whatToDo,
      },
      working: workingOf([], judged),
    }
  },
})

const Zone = z.strictObject({
  rule: z.literal('pef_zone').optional(),
  pef: Figure,
  personal_best: Figure.optional(),
  predicted: Figure.optional(),
  red_below_percent: Figure.optional(),
  scale: Scale.optional(),
})
const BritishBand = z.strictObject({
  rule: z.literal('BTS_SIGN_ADULT_pef_only'),
  pef: Figure,
  best: Figure.optional(),
  predicted: Figure.optional(),
  scale: Scale.optional(),
})
const AmericanBand = z.strictObject({ rule: z.literal('EPR3_pef_only'), percent: Figure })

/** Zone or severity band of a peak flow, personal best first, predicted second. */
export const zones = calculation({
  name: 'zones',
  purpose:
    'Green, yellow or red zone, or the severity band of an attack, of a peak flow (L/min) or its percentage.',
  input: z.union([Zone, BritishBand, AmericanBand]),
  run: (given) => {
    if (given.rule === 'EPR3_pef_only') return american(given.percent)
    return given.rule === 'BTS_SIGN_ADULT_pef_only' ? british(given) : zone(given)
  },
})

const optionalFlow = (lPerMin: number | undefined, scale: MeterScale | undefined) =>
  lPerMin === undefined ? undefined : flow(lPerMin, scale)

function zone({ pef, personal_best, predicted, red_below_percent, scale }: z.infer<typeof Zone>): Answer {
  const basis = {
    personalBest: optionalFlow(personal_best, scale),
    predicted: optionalFlow(predicted, scale),
  }
  const found = peakFlowZone(flow(pef, scale), basis, red_below_percent)
  return {
    result: { zone: found.name, percent: found.percent.value, basis: found.basis, scale: found.scale },
    working: workingOf([found.percent], { steps: [found.step], sources: [found.rule] }),
  }
}

function british({ pef, best, predicted, scale }: z.infer<typeof BritishBand>): Answer {
  const basis = { personalBest: optionalFlow(best, scale), predicted: optionalFlow(predicted, scale) }
  const found = peakFlowBand(flow(pef, scale), basis, 'BTS_SIGN_ADULT')
  return {
    result: { band: found.name, percent: found.percent.value, basis: found.basis, scale: found.scale },
    working: workingOf([found.percent], { steps: [found.step], sources: [found.rule] }),
  }
}

function american(percent: number): Answer {
  return {
    result: { band: bandByPercent(percent, 'EPR3'), percent },
    working: workingOf([], { steps: [bandByPercentStep(percent, 'EPR3')], sources: [GUIDE_SOURCES.EPR3] }),
  }
}

type PefChange = {
  readonly pre_l_min?: number | undefined
  readonly post_l_min?: number | undefined
  readonly scale?: MeterScale | undefined
}

/** The change of a peak flow as `bronchodilator-response` answers it. */
export function pefResponseAnswer({ pre_l_min, post_l_min, scale }: PefChange): Answer {
  const before = flow(needed('pre_l_min', pre_l_min, rangeText(READING_RANGE)), scale)
  const after = flow(needed('post_l_min', post_l_min, rangeText(READING_RANGE)), scale)
  const { changeLPerMin, percentOfBaseline, verdict, cautions } = peakFlowResponse(before, after)
  return {
    result: {
      change_l_min: changeLPerMin,
      change_percent_of_baseline: percentOfBaseline,
      PEF_RESPONSE: verdict.positive,
    },
    working: workingOf([], { steps: [verdict.why], sources: [verdict.source], cautions }),
  }
}
