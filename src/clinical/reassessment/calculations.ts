import { z } from 'zod'
import { MEASURE_NAMES, MEASURES, type Measure, unitShown } from '../assessment/measures.ts'
import {
  ABILITIES,
  BREATH_SOUNDS,
  CONSCIOUSNESS,
  LUNG_ZONES,
  WORK_OF_BREATHING,
  wordsOf,
} from '../assessment/vocabulary.ts'
import { type Calculation, calculation } from '../calculation.ts'
import { type Answer, workingOf } from '../lung-function/calculation-parts.ts'
import { requireWithin } from '../worked.ts'
import { DEVICES, ORDER_KINDS } from './course.ts'
import { draftMessage } from './draft-message.ts'
import { reassess } from './reassess.ts'

const Figure = z.number()

const Look = z.strictObject({
  heartRatePerMin: Figure.optional(),
  rhythm: z.string().optional(),
  respiratoryRatePerMin: Figure.optional(),
  spo2Percent: Figure.optional(),
  moreOxygenThanUsual: z.boolean().optional(),
  breathSounds: z
    .partialRecord(z.enum(LUNG_ZONES), z.array(z.enum(wordsOf(BREATH_SOUNDS))).min(1))
    .optional(),
  workOfBreathing: z.enum(wordsOf(WORK_OF_BREATHING)).optional(),
  dyspnea0To10: Figure.optional(),
  peakFlowLPerMin: z.array(Figure).min(1).optional(),
  peakFlowPercent: Figure.optional(),
  fev1Ml: Figure.optional(),
  consciousness: z.enum(wordsOf(CONSCIOUSNESS)).optional(),
  ability: z.enum(wordsOf(ABILITIES)).optional(),
})

const Treatment = z.strictObject({
  at: z.string(),
  prn: z.boolean(),
  given: z.boolean(),
  reasonNotGiven: z.string().optional(),
  before: Look.nullable().default(null),
  after: Look.nullable().default(null),
  stopRules: z.array(z.string()).optional(),
})

const Order = z.strictObject({
  title: z.string(),
  kind: z.enum(ORDER_KINDS),
  everyMinutes: Figure.nullable(),
  asNeeded: z.boolean(),
  device: z.enum(DEVICES),
  shortestMinutes: Figure.optional(),
  homeEveryMinutes: Figure.optional(),
})

/** Refuses a figure that cannot be what it is called, naming where in the course it stands. */
function requirePossible(place: string, look: z.infer<typeof Look> | null): void {
  for (const name of MEASURE_NAMES) {
    const { low, high, unit } = MEASURES[name]
    const values = [(look as Partial<Record<Measure, number | number[]>> | null)?.[name] ?? []].flat()
    for (const value of values) requireWithin(`${place}.${name}`, value, { low, high, unit: unitShown(unit) })
  }
}

/** Proposals on an order from the course so far, and a message drafted from them. */
export const reassessment = calculation({
  name: 'reassessment',
  purpose:
    'Proposals on a bronchodilator order from its course (working, needed, interval, device) with reasons, and a drafted message; changes nothing.',
  input: z.strictObject({
    order: Order,
    ageYears: Figure,
    spo2TargetLowPercent: Figure.nullable().default(null),
    now: z.string(),
    treatments: z.array(Treatment),
    message: z
      .strictObject({ patient: z.string(), place: z.string(), prescriber: z.string(), author: z.string() })
      .optional(),
  }),
  run: ({ message, ...course }): Answer => {
    for (const [at, { before, after }] of course.treatments.entries()) {
      requirePossible(`treatments[${at}].before`, before)
      requirePossible(`treatments[${at}].after`, after)
    }
    const { suggestions, ...found } = reassess(course)
    const drafted =
      message === undefined
        ? null
        : draftMessage(course, { suggestions, ...found }, { ...message, clock: (instant) => instant })
    return {
      result: {
        ...found,
        suggestions: suggestions.map(({ sources: _, ...each }) => each),
        message: drafted,
      },
      working: workingOf([], {
        steps: suggestions.flatMap(({ what, because }) => [what, ...because]),
        sources: suggestions.flatMap(({ sources }) => sources),
        cautions: [found.documentStanding],
      }),
    }
  },
})

/** Every calculation of reassessment that can be asked for by name. */
export const REASSESSMENT_CALCULATIONS: readonly Calculation[] = [reassessment]
