import { z } from 'zod'
import { defineKind, Instant } from '../fact.ts'

const Text = z.string().trim().min(1).max(400)
const ClockTime = z.string().regex(/^([01]\d|2[0-3]):[0-5]\d$/, 'a time of day as HH:MM')

/** How often, as ordered. Exactly one way of repeating, or PRN, or once, or continuous. */
export const Frequency = z.strictObject({
  /** The code as it was ordered, for example QID, Q4H, PRNQ2H. */
  code: Text,
  everyMinutes: z
    .int()
    .positive()
    .max(60 * 24 * 31)
    .optional(),
  timesPerDay: z.int().positive().max(24).optional(),
  /** Times stated in the order itself; they outrank the department's standard times. */
  statedTimes: z.array(ClockTime).optional(),
  /** True when the hospital's standard times apply. */
  standardTimes: z.boolean(),
  whileAwake: z.boolean().optional(),
  once: z.boolean().optional(),
  stat: z.boolean().optional(),
  continuous: z.boolean().optional(),
})
export type Frequency = z.infer<typeof Frequency>

/** One thing in the cup as ordered. `medicineId` is the formulary's id, null while the code is not known there. */
export const OrderedMedicine = z.strictObject({
  medicineId: z.string().nullable(),
  code: z.string().max(80),
  text: Text,
  amountMin: z.number().positive().nullable(),
  /** Above `amountMin` when a range was ordered: whoever gives it chooses, and the choice is recorded. */
  amountMax: z.number().positive().nullable(),
  unit: z.string().max(20).nullable(),
  part: z.enum(['medicine', 'diluent']),
})
export type OrderedMedicine = z.infer<typeof OrderedMedicine>

/** An order as it stands: every field as received, nothing made up. Null where the sender said nothing. */
export const OrderBody = z.strictObject({
  placer: z.string().min(1).max(80),
  filler: z.string().max(80).nullable(),
  group: z.string().max(80).nullable(),
  title: Text,
  medicines: z.array(OrderedMedicine).min(1),
  route: z.string().max(80).nullable(),
  device: z.string().max(80).nullable(),
  method: z.string().max(80).nullable(),
  frequency: Frequency.nullable(),
  priority: z.enum(['routine', 'asap', 'stat']),
  startAt: Instant.nullable(),
  endAt: Instant.nullable(),
  prn: z
    .strictObject({
      reason: z.string().max(400).nullable(),
      minimumGapMinutes: z.int().positive().nullable(),
    })
    .nullable(),
  indication: z.string().max(400).nullable(),
  prescriber: z.strictObject({ id: z.string().max(80), name: z.string().max(200) }).nullable(),
  instruction: z.string().max(2000).nullable(),
})
export type OrderBody = z.infer<typeof OrderBody>

export const OrderPlaced = defineKind({
  kind: 'order-placed',
  version: 1,
  about: ['patientId', 'orderId'],
  body: z.strictObject({ order: OrderBody, channel: z.enum(['hl7v2', 'csv', 'fhir', 'hand']) }),
})

/** A replacement of the order's terms, in force from `effectiveAt`. */
export const OrderChanged = defineKind({
  kind: 'order-changed',
  version: 1,
  about: ['patientId', 'orderId'],
  body: z.strictObject({ order: OrderBody, effectiveAt: Instant, reason: z.string().max(400).nullable() }),
})

export const OrderHeld = defineKind({
  kind: 'order-held',
  version: 1,
  about: ['patientId', 'orderId'],
  body: z.strictObject({ effectiveAt: Instant, reason: z.string().max(400).nullable() }),
})

export const OrderReleased = defineKind({
  kind: 'order-released',
  version: 1,
  about: ['patientId', 'orderId'],
  body: z.strictObject({ effectiveAt: Instant, reason: z.string().max(400).nullable() }),
})

export const OrderDiscontinued = defineKind({
  kind: 'order-discontinued',
  version: 1,
  about: ['patientId', 'orderId'],
  body: z.strictObject({ effectiveAt: Instant, reason: z.string().max(400).nullable() }),
})

/** Something the review of an order found: what, why, from which source, and who must answer. */
export const ReviewFinding = z.strictObject({
  code: z.string().min(1).max(80),
  severity: z.enum(['stop', 'ask', 'caution', 'note']),
  what: z.string().min(1),
  why: z.string(),
  sources: z.array(z.string()),
  whoMustAnswer: z.enum(['prescriber', 'pharmacist', 'therapist']),
})
export type ReviewFinding = z.infer<typeof ReviewFinding>

/** The review made when an order arrived or changed, with the versions of the documents it was made by. */
export const OrderReviewed = defineKind({
  kind: 'order-reviewed',
  version: 1,
  about: ['patientId', 'orderId'],
  body: z.strictObject({
    reviewsFact: z.string(),
    findings: z.array(ReviewFinding),
    formularyVersion: z.string(),
  }),
})

/** An answer to a finding: by whom it was given stands in the fact, on whose word in `onWordOf`. */
export const FindingAnswered = defineKind({
  kind: 'finding-answered',
  version: 1,
  about: ['patientId', 'orderId'],
  body: z.strictObject({
    code: z.string().min(1),
    decision: z.enum(['go-ahead', 'do-not-give', 'changed-at-source']),
    onWordOf: Text,
    readBack: z.boolean(),
    note: z.string().trim().min(1).max(2000),
  }),
})
