import { z } from 'zod'
import { backing, Id, Status, Words } from './backing.ts'
import { When } from './when.ts'

export const Severity = z.enum(['stop', 'ask', 'caution', 'note'])
export type Severity = z.infer<typeof Severity>
export const Answerer = z.enum(['prescriber', 'pharmacist', 'therapist'])
export type Answerer = z.infer<typeof Answerer>

/** When in a visit a rule speaks: as the order comes, at the door, over the cup, after. */
export const Stage = z.enum(['order', 'door', 'cup', 'after'])
export type Stage = z.infer<typeof Stage>

const says = {
  id: Id,
  code: Id,
  severity: Severity,
  whoMustAnswer: Answerer,
  what: Words,
  why: Words,
  ...backing,
}

/** Which medicines a rule is about; all of them when nothing is said. */
const For = z.strictObject({
  medicines: z.array(Id).min(1).exactOptional(),
  classes: z.array(Id).min(1).exactOptional(),
  forms: z.array(Id).min(1).exactOptional(),
  /** Drugs that have a device of their own. */
  ownDevice: z.literal(true).exactOptional(),
})

const StatementRule = z.strictObject({
  kind: z.literal('statement'),
  at: z.array(Stage).min(1),
  for: For,
  if: When.exactOptional(),
  ...says,
})
export type StatementRule = z.infer<typeof StatementRule>

const DuplicateRule = z.strictObject({
  kind: z.literal('duplicate'),
  sets: z.array(z.strictObject({ name: Words, classes: z.array(Id).min(1) })).min(1),
  ...says,
})

/** A rule at the bedside, in a form that a machine can check and a person can read. */
export const Rule = z.discriminatedUnion('kind', [
  StatementRule,
  DuplicateRule,
  z.strictObject({ kind: z.literal('too-early'), ...says }),
  z.strictObject({ kind: z.literal('over-24-hours'), ...says }),
])
export type Rule = z.infer<typeof Rule>

/** Two kinds of medicine that do not go well together: a class given here and a group taken besides. */
export const Interaction = z.strictObject({
  id: Id,
  classes: z.array(Id).min(1),
  with: z.array(Id).min(1),
  severity: Severity,
  what: Words,
  why: Words,
  whoMustAnswer: Answerer,
  ...backing,
})

export const ConditionEntry = z.strictObject({ code: Id, text: Words, icd10: z.array(z.string().min(3)) })
export const IndicationEntry = z.strictObject({ code: Id, words: z.array(Words).min(1) })
export const Group = z.strictObject({ name: Id, members: z.array(Words).min(1) })
export const VocabularyStatus = Status
