import { z } from 'zod'
import { ConditionSchema, partsOf } from '../assessment/condition.ts'
import { Heading, refuseUnknownSources, SourceEntries } from '../assessment/document.ts'
import { once } from '../once.ts'
import defaultJson from './data/reassessment.json' with { type: 'json' }

const Count = z.int().positive()
const Hours = z.number().positive()

/** One thing that is looked at. Levels are asked from the worst down; none that holds means level 0. */
const Domain = z.strictObject({
  id: z.string().min(1),
  /** A required domain that is missing leaves the band open; another is left out and named. */
  required: z.boolean(),
  levels: z
    .array(z.strictObject({ level: z.union([z.literal(1), z.literal(2)]), when: ConditionSchema }))
    .min(1),
  sources: z.array(z.string()).min(1),
})

/** A department's rule for reassessing a bronchodilator order, whole and versioned. */
export const ReassessmentDocument = z
  .strictObject({
    kind: z.literal('reassessment'),
    ...Heading,
    limits: z.record(
      z.string(),
      z.strictObject({
        unit: z.string(),
        byAge: z.array(z.strictObject({ fromYears: z.number().min(0), value: z.number() })),
      }),
    ),
    domains: z.array(Domain).min(1),
    /** From best to worst, by the sum of the levels. */
    bands: z.array(z.strictObject({ name: z.string().min(1), upTo: z.int().min(0) })).min(2),
    /** The band that one domain at level 2 reaches by itself. */
    topLevelIsAtLeast: z.string(),
    /** Found at the last treatment, this is told now and nothing is made less. */
    urgent: ConditionSchema,
    /** Intervals that an order can step through, shortest first. */
    ladderMinutes: z.array(Count).min(2),
    looksForLonger: Count,
    hoursBetweenLooks: Hours,
    quietHours: Hours,
    asNeededForShorter: Count,
    urgentDosesToTell: Count,
    pairsForResponse: Count,
    clearHours: Hours,
    missedToAsk: Count,
    missedOutOf: Count,
    inhalerFromYears: z.number().min(0),
    review: z.strictObject({ everyHours: Hours, afterDoses: Count, afterStoppingHours: Hours }),
    sources: SourceEntries,
  })
  .superRefine((document, context) => {
    const refuse = (message: string) => context.addIssue({ code: 'custom', message })
    const { bands, ladderMinutes, domains, limits, sources, topLevelIsAtLeast } = document
    if (!rises(bands.map(({ upTo }) => upTo))) refuse('bands do not rise')
    if ((bands.at(-1)?.upTo ?? 0) < 2 * domains.length) refuse('the last band does not hold every sum')
    if (!bands.some(({ name }) => name === topLevelIsAtLeast))
      refuse(`no band is called ${topLevelIsAtLeast}`)
    if (!rises(ladderMinutes)) refuse('intervals do not rise')
    const conditions = [document.urgent, ...domains.flatMap(({ levels }) => levels.map(({ when }) => when))]
    for (const part of conditions.flatMap(partsOf)) {
      if ('limit' in part && part.limit !== undefined && limits[part.limit]?.unit !== part.unit) {
        refuse(`limit ${part.limit} is not there, or in another unit`)
      }
    }
    refuseUnknownSources(
      sources,
      domains.flatMap((domain) => domain.sources),
      refuse,
    )
  })
export type ReassessmentDocument = z.infer<typeof ReassessmentDocument>

/** The rule that the program comes with: an example until the medical director has approved another. */
export const defaultReassessment = once(() => ReassessmentDocument.parse(defaultJson))

function rises(values: readonly number[]): boolean {
  return values.every((value, at) => value > (values[at - 1] ?? -1))
}
