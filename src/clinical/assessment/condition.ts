import { z } from 'zod'
import { MEASURE_NAMES, MEASURES, type Measure } from './measures.ts'

export const COMPARISONS = ['lt', 'le', 'gt', 'ge'] as const
export type Comparison = (typeof COMPARISONS)[number]

/** What must hold for a rule to speak. A unit is written beside every number, and checked. */
export type Condition =
  | { readonly sign: string }
  | {
      readonly measure: Measure
      readonly unit: string
      readonly is: Comparison
      /** A number, or the name of a limit that depends on the patient. */
      readonly value?: number | undefined
      readonly limit?: string | undefined
    }
  | { readonly measure: Measure; readonly unit: string; readonly changes: Comparison; readonly by: number }
  | {
      readonly measure: Measure
      readonly unit: string
      readonly changesPercent: Comparison
      readonly by: number
    }
  | { readonly any: readonly Condition[] }
  | { readonly all: readonly Condition[] }

const Compare = z.enum(COMPARISONS)
const About = { measure: z.enum(MEASURE_NAMES as [Measure, ...Measure[]]), unit: z.string() }

/** A condition as a document writes it. Refuses a number without its measure's own unit. */
export const ConditionSchema: z.ZodType<Condition> = z.lazy(() =>
  z
    .union([
      z.strictObject({ sign: z.string().min(1) }),
      z.strictObject({ ...About, is: Compare, value: z.number() }),
      z.strictObject({ ...About, is: Compare, limit: z.string().min(1) }),
      z.strictObject({ ...About, changes: Compare, by: z.number() }),
      z.strictObject({ ...About, changesPercent: Compare, by: z.number() }),
      z.strictObject({ any: z.array(ConditionSchema).min(1) }),
      z.strictObject({ all: z.array(ConditionSchema).min(1) }),
    ])
    .superRefine((condition, refuse) => {
      if (!('measure' in condition)) return
      const { unit } = MEASURES[condition.measure]
      if (condition.unit !== unit) {
        refuse.addIssue({
          code: 'custom',
          message: `${condition.measure} is in ${unit}, not ${condition.unit}`,
        })
      }
    }),
)

/** Every part of a condition, itself first. */
export function partsOf(condition: Condition): Condition[] {
  const inner = 'any' in condition ? condition.any : 'all' in condition ? condition.all : []
  return [condition, ...inner.flatMap(partsOf)]
}
