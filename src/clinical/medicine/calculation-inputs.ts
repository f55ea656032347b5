import { z } from 'zod'
import { AMOUNT_UNITS } from './dose/amount.ts'
import { InterfaceKind, NebulizerKind } from './formulary/when.ts'
import { InstantAsked, OrderToReview } from './review/order.ts'

const number = z.number()
const text = z.string()
const Coded = z.strictObject({ code: text, text })

/** Two drugs asked about by name, under the names that the published pairs use. */
export const PairQuestion = z.strictObject({ a: text, b: text })

/** A cup to make up. */
export const CupQuestion = z.strictObject({
  portions: z.array(z.strictObject({ medicineId: text, supplyId: text.exactOptional(), volumeMl: number })),
  targetFillMl: number,
  diluentId: text.exactOptional(),
  repeated: z.boolean().exactOptional(),
  premixed: z.boolean().exactOptional(),
  cup: z
    .strictObject({
      nebulizer: NebulizerKind.exactOptional(),
      interface: InterfaceKind.exactOptional(),
      maximumFillMl: number.exactOptional(),
      ownDevice: z.boolean().exactOptional(),
      filter: z.boolean().exactOptional(),
    })
    .exactOptional(),
})

/** A continuous treatment: an hourly dose, stated or by weight, and what the cup puts out. */
export const ContinuousQuestion = z.strictObject({
  mg_h: number.optional(),
  mg_kg_h: number.optional(),
  weight_kg: number.optional(),
  cap_mg_h: number.optional(),
  cup_output_mL_h: z.union([
    number,
    z.strictObject({ mean: number, low: number.optional(), high: number.optional() }),
  ]),
  stock_mg_mL: number.optional(),
  hours: number.optional(),
  dead_volume_mL: number.optional(),
  container_mL: number.optional(),
  pump_mL_h: number.optional(),
  cup_start_mL: number.optional(),
  cup_capacity_mL: number.optional(),
  cup_dry_mL: number.optional(),
})
export type ContinuousQuestion = z.infer<typeof ContinuousQuestion>

const Patient = z.strictObject({
  ageDays: number.nullable(),
  weightKg: number.nullable(),
  conditions: z.array(Coded).nullable(),
  allergies: z.array(Coded).nullable(),
  isolation: z.array(text).nullable().exactOptional(),
  taking: z
    .array(
      z.strictObject({
        medicineId: text.nullable().exactOptional(),
        name: text,
        asNeeded: z.boolean().exactOptional(),
      }),
    )
    .nullable(),
  /** The patient's other orders in force, for the planned totals of 24 hours. */
  orders: z.array(OrderToReview).exactOptional(),
})

export const ReviewQuestion = z.strictObject({ order: OrderToReview, patient: Patient })

const AmountQuestion = z.strictObject({ value: number, unit: z.enum(AMOUNT_UNITS) })
const given = {
  medicineId: text,
  amount: AmountQuestion,
  strength: text.nullable().exactOptional(),
  at: InstantAsked,
}

/** A dose about to be given and those that were. */
export const HistoryQuestion = z.strictObject({
  proposed: z.strictObject({
    ...given,
    acute: z.boolean(),
    ageDays: number.nullable(),
    weightKg: number.nullable(),
  }),
  history: z.array(z.strictObject({ ...given, route: text })),
})

/** All orders of one patient, for what they come to in 24 hours. */
export const PlannedQuestion = z.strictObject({
  orders: z.array(OrderToReview).min(1),
  ageDays: number.nullable(),
  weightKg: number.nullable(),
})

/** A drug that is given in turns, when it was given, and the instant asked about. */
export const CycleQuestion = z.strictObject({
  medicineId: text,
  given: z.array(InstantAsked),
  at: InstantAsked,
})
