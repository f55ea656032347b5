import { z } from 'zod'
import { AMOUNT_UNITS } from '../dose/amount.ts'
import { backing, Id, Status, Words } from './backing.ts'
import { InterfaceKind, NebulizerKind, When, Who } from './when.ts'

const AmountUnitSchema = z.enum(AMOUNT_UNITS)
const Positive = z.number().positive()
const TwoMinutes = z.tuple([z.number().min(0), z.number().min(0)])

/** A pack as it is supplied. `perMl` is in the unit of `amount`; null where the pack is not a solution yet. */
const Supply = z.strictObject({
  id: Id,
  label: Words,
  amount: Positive.nullable(),
  unit: AmountUnitSchema,
  volumeMl: Positive.nullable(),
  perMl: Positive.nullable(),
  preservative: Id.exactOptional(),
  mustBeDiluted: z.boolean().exactOptional(),
  note: Words.exactOptional(),
  ...backing,
})
export type Supply = z.infer<typeof Supply>

const AmountRange = z.strictObject({ low: Positive, high: Positive, unit: AmountUnitSchema })

/** What is usual for whom: a range of single doses, or a statement that there is none. */
const DoseEntry = z.strictObject({
  use: z.enum(['maintenance', 'acute', 'continuous', 'not established']),
  who: Who.exactOptional(),
  amount: AmountRange.exactOptional(),
  perKg: AmountRange.extend({
    atLeast: Positive.exactOptional(),
    atMost: Positive.exactOptional(),
    /** A dose that many places give whatever the weight. */
    fixed: z.strictObject({ value: Positive, unit: AmountUnitSchema }).exactOptional(),
  }).exactOptional(),
  mgPerHour: z.strictObject({ low: Positive, high: Positive }).exactOptional(),
  mgPerKgHour: z.strictObject({ rate: Positive, atMost: Positive.exactOptional() }).exactOptional(),
  text: Words,
  ...backing,
})
export type DoseEntry = z.infer<typeof DoseEntry>

const Gap = z.strictObject({ minutes: z.int().positive(), ...backing })
const Most = z.strictObject({
  who: Who.exactOptional(),
  value: Positive,
  unit: AmountUnitSchema,
  note: Words.exactOptional(),
  ...backing,
})
export type Most = z.infer<typeof Most>

const Timing = z.strictObject({
  frequency: Words,
  gapRoutine: Gap.nullable(),
  gapAcute: Gap.nullable(),
  gapNote: Words.exactOptional(),
  max24h: z.array(Most),
  max24hNote: Words.exactOptional(),
  cycle: z.strictObject({ daysOn: z.int().positive(), daysOff: z.int().positive() }).exactOptional(),
  missed: Words.exactOptional(),
  ...backing,
})

/** One thing to know, and when it applies to a patient; without `if` it is shown and never asked. */
const Statement = z.strictObject({
  what: Words,
  status: Status.exactOptional(),
  if: When.exactOptional(),
  severity: z.enum(['stop', 'ask', 'caution', 'note']).exactOptional(),
})
export type Statement = z.infer<typeof Statement>
const Statements = z.strictObject({ items: z.array(Statement).min(1), ...backing })
export type Statements = z.infer<typeof Statements>

const Equipment = z.strictObject({
  nebulizers: z.array(NebulizerKind).min(1),
  notNebulizers: z.array(NebulizerKind).exactOptional(),
  /** Only the device that belongs to the drug. */
  ownDevice: Words.exactOptional(),
  /** A device from the list of the label. */
  listed: Words.exactOptional(),
  interfaces: z.array(InterfaceKind).min(1),
  preferred: InterfaceKind.exactOptional(),
  filter: z.strictObject({ need: z.enum(['required', 'advised', 'by policy']) }).exactOptional(),
  ownRoom: Words.exactOptional(),
  bystanders: Words.exactOptional(),
  gasFlowLPerMin: z.tuple([Positive, Positive]).exactOptional(),
  note: Words.exactOptional(),
  ...backing,
})

/** A nebulized product by generic name. */
export const Medicine = z.strictObject({
  id: Id,
  name: Words,
  otherNames: z.array(Words),
  classes: z.array(Id).min(1),
  form: z.enum(['solution', 'suspension', 'liposomal suspension', 'powder for solution']),
  codes: z.strictObject({
    atc: z.string().nullable(),
    rxcui: z.string().nullable(),
    productRxcui: z.array(z.string()).exactOptional(),
    productNote: Words.exactOptional(),
    ...backing,
  }),
  /** Words in an allergy that speak against this medicine. */
  allergens: z.array(Words),
  strengthBasis: z.strictObject({ text: Words, ...backing }).exactOptional(),
  /** What a vial of a combination holds, by component. */
  components: z.array(z.strictObject({ medicineId: Id, amountMg: Positive })).exactOptional(),
  mcgPerBreath: Positive.exactOptional(),
  observeAfterMin: z.strictObject({ minutes: z.int().positive(), ...backing }).exactOptional(),
  /** What the label says about a cup with anything else in it. */
  alone: z
    .strictObject({ position: z.enum(['forbids', 'not established']), text: Words, ...backing })
    .exactOptional(),
  undiluted: z.boolean().exactOptional(),
  giveLast: z.boolean().exactOptional(),
  madeUpAtOnce: z.strictObject({ text: Words, ...backing }).exactOptional(),
  bronchodilatorFirst: z.strictObject({ text: Words, if: When.exactOptional(), ...backing }).exactOptional(),
  supply: z.array(Supply).min(1),
  doses: z.array(DoseEntry).min(1),
  timing: Timing,
  effect: z.strictObject({
    onsetMin: TwoMinutes.exactOptional(),
    peakMin: TwoMinutes.exactOptional(),
    durationH: TwoMinutes.exactOptional(),
    durationMin: TwoMinutes.exactOptional(),
    note: Words.exactOptional(),
    ...backing,
  }),
  contraindications: Statements,
  cautions: Statements,
  equipment: Equipment,
  watch: Statements,
  response: z.strictObject({ expected: Words, judgeAfterMin: TwoMinutes.nullable(), ...backing }),
})
export type Medicine = z.infer<typeof Medicine>
