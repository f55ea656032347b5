import { z } from 'zod'
import { calculation } from '../calculation.ts'
import { BadInput, OutsideValidity, requireWithin } from '../worked.ts'
import { volumeResponse } from './bronchodilator-response.ts'
import { type Answer, Figure, needed, rangeText, workingOf } from './calculation-parts.ts'
import { GLI_2012 } from './gli-2012.ts'
import { GLI_GLOBAL_2022 } from './gli-global-2022.ts'
import { interpretSpirometry } from './interpret-spirometry.ts'
import { METER_SCALES } from './meter-scale.ts'
import { NHANES3_1999 } from './nhanes3-1999.ts'
import { pefResponseAnswer } from './peak-flow-calculations.ts'
import { HEIGHT_LIMITS, SEXES } from './person.ts'
import {
  PARAMETERS,
  type ReferenceSystem,
  SYSTEM_NAMES,
  type SystemName,
  unitIn,
} from './reference-system.ts'
import { spirometryRepeatability } from './repeatability.ts'
import { gradeByPercentPredicted, gradeByPercentStep, gradeByZ, gradeByZStep } from './severity.ts'
import { LUNG_SOURCES } from './sources.ts'

const SYSTEMS: Readonly<Record<SystemName, ReferenceSystem>> = { GLI_GLOBAL_2022, GLI_2012, NHANES3_1999 }
const UNIT_WORDS = { L: 'L', 'L/s': 'L/s', '%': 'percent', '1': 'fraction' } as const

/** Predicted value, lower limit, percent of predicted and z-score. */
export const lungFunction = calculation({
  name: 'lung-function',
  purpose:
    'Predicted value, lower limit of normal, percent of predicted, z-score and severity of a spirometry value; volumes in L, flows in L/s.',
  input: z.strictObject({
    system: z.enum(SYSTEM_NAMES).default('GLI_GLOBAL_2022'),
    group: z.string().optional(),
    sex: z.enum(SEXES).optional(),
    age_years: Figure,
    height_cm: Figure.optional(),
    parameter: z.enum(PARAMETERS).optional(),
    unit: z.enum(['L', 'L/s', 'percent', 'fraction']).optional(),
    measured: Figure.optional(),
  }),
  run: (given) => {
    const system = SYSTEMS[given.system]
    requireAge(system, given.age_years)
    if (given.height_cm !== undefined) requireWithin('height_cm', given.height_cm, HEIGHT_LIMITS)
    const parameter = needed('parameter', given.parameter, PARAMETERS.join(', '))
    const unit = UNIT_WORDS[unitIn(system, parameter)]
    if (given.unit !== undefined && given.unit !== unit) throw new BadInput('unit', given.unit, unit)
    const answer = interpretSpirometry(
      {
        sex: needed('sex', given.sex, SEXES.join(' or ')),
        ageYears: given.age_years,
        heightCm: needed('height_cm', given.height_cm, rangeText(HEIGHT_LIMITS)),
        parameter,
        group: given.group,
        measured: given.measured,
      },
      system,
    )
    const { reference, predicted, lowerLimit, measured, zKind, extrapolated } = answer
    return {
      result: {
        ...reference,
        parameter,
        unit,
        predicted: predicted.value,
        lln: lowerLimit.value,
        percent_predicted: measured?.percentPredicted.value ?? null,
        z: measured?.z.value ?? null,
        z_kind: zKind,
        below_lln: measured?.belowLowerLimit ?? null,
        grade: measured?.grade ?? null,
        extrapolated,
      },
      working: workingOf([predicted, lowerLimit, measured?.percentPredicted ?? null, measured?.z ?? null]),
    }
  },
})

/** A refusal of the age before anything else is asked for; the whole range is the system's own. */
function requireAge({ ages, name }: ReferenceSystem, ageYears: number): void {
  const completed = name === 'NHANES3_1999' ? Math.floor(ageYears) : ageYears
  const inside = completed >= ages.low && completed <= ages.high
  if (!inside) throw new OutsideValidity('age_years', ageYears, ages)
}

/** Severity from a z-score or from percent of predicted. */
export const spirometrySeverity = calculation({
  name: 'spirometry-severity',
  purpose: 'Severity by z-score (2022) or by percent of predicted FEV1 (2005), with half-open bands.',
  input: z.union([
    z.strictObject({ rule: z.literal('z_severity').optional(), z: Figure }),
    z.strictObject({ rule: z.literal('percent_predicted_severity_2005').optional(), percent: Figure }),
  ]),
  run: (given) => {
    if ('z' in given) {
      const working = workingOf([], { steps: [gradeByZStep(given.z)], sources: [ERS_ATS_2022] })
      return { result: { grade: gradeByZ(given.z) }, working }
    }
    const grade = gradeByPercentPredicted(given.percent)
    const steps = [gradeByPercentStep(given.percent)]
    return { result: { grade }, working: workingOf([], { steps, sources: [ATS_ERS_2005] }) }
  },
})

const { ERS_ATS_2022, ATS_ERS_2005 } = LUNG_SOURCES

/** The names under which checks ask for one rule. */
const SCORES = ['ERS/ATS 2021 response', 'ATS/ERS 2005 response'] as const

/** Response of FEV1 or FVC by both rules, of PEF by its own. */
export const bronchodilatorResponse = calculation({
  name: 'bronchodilator-response',
  purpose:
    'Response to a bronchodilator: FEV1 or FVC (L) by the rules of 2022 and of 2005, each named; PEF (L/min) by its own.',
  input: z.strictObject({
    rule: z.literal('bronchodilator_response').optional(),
    score: z.enum(SCORES).optional(),
    parameter: z.enum(['FEV1', 'FVC', 'PEF']),
    pre_l: Figure.optional(),
    post_l: Figure.optional(),
    predicted_l: Figure.optional(),
    pre_L: Figure.optional(),
    post_L: Figure.optional(),
    predicted_L: Figure.optional(),
    pre_l_min: Figure.optional(),
    post_l_min: Figure.optional(),
    scale: z.enum(METER_SCALES).optional(),
  }),
  run: (given): Answer => {
    if (given.parameter === 'PEF') return pefResponseAnswer(given)
    const before = volume('pre', given.pre_l, given.pre_L)
    const after = volume('post', given.post_l, given.post_L)
    const predicted = volume('predicted', given.predicted_l, given.predicted_L)
    const response = volumeResponse({
      parameter: given.parameter,
      beforeMl: wholeMl(before.field, needed(before.field, before.liters, rangeText(VOLUMES_L))),
      afterMl: wholeMl(after.field, needed(after.field, after.liters, rangeText(VOLUMES_L))),
      predictedMl: predicted.liters === undefined ? undefined : predicted.liters * 1000,
    })
    const { changeMl, percentOfBaseline, percentOfPredicted, verdicts, cautions } = response
    const [by2022, by2005] = verdicts
    const asked = given.score === undefined ? undefined : given.score === SCORES[0] ? by2022 : by2005
    return {
      result: {
        change_ml: changeMl,
        change_mL: changeMl,
        change_percent: percentOfBaseline,
        change_percent_of_baseline: percentOfBaseline,
        change_percent_of_predicted: percentOfPredicted,
        change_percent_predicted: percentOfPredicted,
        ATS_ERS_2005: by2005?.positive ?? null,
        ERS_ATS_2022: by2022?.positive ?? null,
        ...(asked && { positive: asked.positive }),
      },
      working: workingOf([], {
        steps: verdicts.map(({ rule, why }) => `${rule}: ${why}`),
        sources: verdicts.map(({ source }) => source),
        cautions,
      }),
    }
  },
})

/** A volume that goes by two spellings: under the one that was given, never both. */
function volume(name: string, small: number | undefined, large: number | undefined) {
  if (small !== undefined && large !== undefined) {
    throw new BadInput(`${name}_l`, 'given twice', 'one value')
  }
  const field = large === undefined ? `${name}_l` : `${name}_L`
  const liters = small ?? large
  if (liters !== undefined) requireWithin(field, liters, VOLUMES_L)
  return { field, liters }
}

/** What a blow can be: the range of the milliliters that it is turned into. */
const VOLUMES_L = { low: 0.001, high: 12, unit: 'L' } as const

/** Liters as whole milliliters; more than three decimals are refused rather than rounded away. */
function wholeMl(field: string, liters: number): number {
  const ml = Math.round(liters * 1000)
  if (!(Math.abs(liters * 1000 - ml) < 1e-6))
    throw new BadInput(field, liters, 'liters with three decimals at most')
  return ml
}

/** Do the blows of one spirometry session agree? */
export const spirometryBlows = calculation({
  name: 'spirometry-repeatability',
  purpose: 'Whether the best FEV1 or FVC blows (L) of one session agree, and what to do next.',
  input: z.strictObject({
    rule: z.literal('spirometry_repeatability').optional(),
    parameter: z.enum(['FEV1', 'FVC']).optional(),
    age_years: Figure,
    blows_l: z.array(Figure),
  }),
  run: ({ blows_l, age_years }) => {
    const blows = blows_l.map((blow) => {
      requireWithin('blows_l', blow, VOLUMES_L)
      return wholeMl('blows_l', blow)
    })
    const judged = spirometryRepeatability(blows, age_years)
    return {
      result: {
        best_ml: judged.best,
        difference_of_two_best_ml: judged.difference,
        allowed_ml: judged.allowed,
        repeatable: judged.repeatable,
        ask_for_more: judged.askForMore,
        what_to_do: judged.whatToDo,
      },
      working: workingOf([], judged),
    }
  },
})
