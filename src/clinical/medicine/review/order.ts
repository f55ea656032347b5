import { z } from 'zod'

/** An instant of ISO 8601 with its offset: without one it would be read in the time zone of this machine. */
export const InstantAsked = z.iso.datetime({ offset: true })

/** One thing in the cup as ordered. Null where the order does not say. */
const OrderedMedicine = z.strictObject({
  medicineId: z.string().nullable(),
  code: z.string().optional(),
  text: z.string(),
  amountMin: z.number().nullable(),
  /** Above `amountMin` when a range was ordered. */
  amountMax: z.number().nullable(),
  unit: z.string().nullable(),
  /** As printed or ordered, such as 20 %; needed where a dose is written in mL and packs differ. */
  strength: z.string().nullable().optional(),
  part: z.enum(['medicine', 'diluent']),
})

/** How often, as far as it matters to a review. */
const Frequency = z.strictObject({
  code: z.string().optional(),
  everyMinutes: z.number().min(1).max(100_000).optional(),
  timesPerDay: z.number().min(0.01).max(1440).optional(),
  statedTimes: z.array(z.string()).optional(),
  standardTimes: z.boolean().optional(),
  whileAwake: z.boolean().optional(),
  once: z.boolean().optional(),
  stat: z.boolean().optional(),
  continuous: z.boolean().optional(),
})

/** An order as it stands, in the fields that a review reads. */
export const OrderToReview = z.strictObject({
  medicines: z.array(OrderedMedicine),
  route: z.string().nullable(),
  frequency: Frequency.nullable(),
  priority: z.enum(['routine', 'asap', 'stat']).optional(),
  prn: z
    .strictObject({
      reason: z.string().nullable(),
      minimumGapMinutes: z.number().min(1).max(100_000).nullable(),
    })
    .nullable(),
  indication: z.string().nullable(),
  prescriber: z.strictObject({ id: z.string(), name: z.string() }).nullable(),
  /** First and last instant of the order (ISO 8601); null or absent where it does not say. */
  startAt: InstantAsked.nullable().optional(),
  endAt: InstantAsked.nullable().optional(),
  /** Said outright; otherwise read from priority, frequency and indication. */
  acute: z.boolean().optional(),
})

export type OrderToReview = z.infer<typeof OrderToReview>
export type OrderLine = OrderToReview['medicines'][number]
