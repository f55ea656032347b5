import { z } from 'zod'
import { once } from '../once.ts'
import { BadInput } from '../worked.ts'
import { ConditionSchema, partsOf } from './condition.ts'
import defaultJson from './data/stop-rules.json' with { type: 'json' }
import { Heading, refuseUnknownSources, SourceEntries, SourceEntry } from './document.ts'

export const PHASES = ['before', 'during', 'after', 'end'] as const
export type Phase = (typeof PHASES)[number]
export const ACTIONS = ['stop', 'pause', 'hold', 'notify'] as const
export type Action = (typeof ACTIONS)[number]

const Text = z.string().min(1).max(400)
const Names = z.array(z.string().min(1)).min(1)

const StopRule = z.strictObject({
  id: z.string().min(1).max(20),
  phases: z.array(z.enum(PHASES)).min(1),
  /** Every list that is there must be met by one of its names; an empty object applies to all. */
  appliesTo: z.strictObject({
    medicines: Names.optional(),
    conditions: Names.optional(),
    devices: Names.optional(),
    drivingGases: Names.optional(),
    fromYears: z.number().min(0).optional(),
  }),
  what: Text,
  when: ConditionSchema,
  /** Silences the rule when it is known to hold; not knowing does not. */
  unless: ConditionSchema.optional(),
  action: z.enum(ACTIONS),
  todo: Text,
  tell: Text,
  urgency: z.enum(['at once', 'soon', 'today', 'none']),
  /** Smaller comes first. */
  priority: z.int().min(0),
  /** While this rule speaks, every other stop, pause and hold becomes a question to a clinician, but for these. */
  questionsAllBut: z.array(z.string()).optional(),
  confirmAfterMinutes: z.number().positive().optional(),
  /** False: a department may not change or leave out this rule. */
  configurable: z.boolean(),
  standing: SourceEntry.shape.standing,
  sources: z.array(z.string()).min(1),
  note: z.string().max(800).optional(),
})
export type StopRule = z.infer<typeof StopRule>

const Limit = z.strictObject({
  unit: z.string(),
  sources: z.array(z.string()).min(1),
  /** Ascending; each holds from its age on. Empty: only the patient's own value will do. */
  byAge: z.array(z.strictObject({ fromYears: z.number().min(0), value: z.number() })),
})

/** A department's stop rules, whole and versioned. */
export const StopRuleDocument = z
  .strictObject({
    kind: z.literal('stop-rules'),
    ...Heading,
    limits: z.record(z.string(), Limit),
    signs: z.array(z.string().min(1)),
    rules: z.array(StopRule).min(1),
    sources: SourceEntries,
  })
  .superRefine((document, context) => {
    const refuse = (message: string) => context.addIssue({ code: 'custom', message })
    const { rules, limits, signs, sources } = document
    if (new Set(rules.map(({ id }) => id)).size < rules.length) refuse('two rules have one id')
    for (const { id, when, unless } of rules) {
      for (const part of [when, ...(unless ? [unless] : [])].flatMap(partsOf)) {
        if ('sign' in part && !signs.includes(part.sign)) refuse(`${id}: sign "${part.sign}" is not listed`)
        if ('limit' in part && part.limit !== undefined) {
          const unit = limits[part.limit]?.unit
          if (unit !== part.unit)
            refuse(`${id}: limit ${part.limit} is in ${unit ?? 'no unit'}, not ${part.unit}`)
        }
      }
    }
    for (const [name, { byAge }] of Object.entries(limits)) {
      const ages = byAge.map(({ fromYears }) => fromYears)
      if (ages.some((age, at) => age <= (ages[at - 1] ?? -1))) refuse(`limit ${name}: ages do not rise`)
    }
    const used = [...rules, ...Object.values(limits)].flatMap((each) => each.sources)
    refuseUnknownSources(sources, used, refuse)
  })
export type StopRuleDocument = z.infer<typeof StopRuleDocument>

/** The set that the program comes with: 26 rules, an example until the medical director has approved another. */
export const defaultStopRules = once(() => StopRuleDocument.parse(defaultJson))

/**
 * A department's own document, checked: well formed, and with every rule that may not be changed left as it is.
 * @throws ZodError when it is not well formed; BadInput naming the first fixed rule that is missing or changed
 */
export function readStopRules(json: unknown): StopRuleDocument {
  const document = StopRuleDocument.parse(json)
  for (const fixed of defaultStopRules().rules.filter(({ configurable }) => !configurable)) {
    const own = document.rules.find(({ id }) => id === fixed.id)
    if (own === undefined) throw new BadInput(fixed.id, 'left out', 'a rule that stays in every set')
    if (heart(own) !== heart(fixed))
      throw new BadInput(fixed.id, 'changed', 'when, action and phases as they are')
  }
  return document
}

/** What of a rule may not be changed: when it speaks, for whom, and what it then asks for. */
function heart({
  when,
  unless,
  appliesTo,
  phases,
  action,
  priority,
  questionsAllBut,
  configurable,
}: StopRule): string {
  return JSON.stringify([when, unless, appliesTo, phases, action, priority, questionsAllBut, configurable])
}
