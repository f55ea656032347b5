import { z } from 'zod'
import { defineKind, Instant } from '../fact.ts'

const Text = z.string().trim().min(1).max(400)
const Key = z.string().min(1).max(80)
/** The name of a planned stay at a bedside. */
const VisitKey = z.string().min(1).max(200)
const FactId = z.uuid({ version: 'v7' })
const Points = z.int().min(0)

/** A dose that a stay is for: of an order, due at an instant; or an as-needed one that was called for. */
const PlannedDose = z.strictObject({
  orderId: Key,
  doseAt: Instant.nullable(),
  /** The fact of the call; null for a scheduled dose. */
  callId: FactId.nullable(),
})
export type PlannedDose = z.infer<typeof PlannedDose>

const Times = { startAt: Instant, endAt: Instant }
const PlannedStop = z.discriminatedUnion('kind', [
  z.strictObject({
    kind: z.literal('visit'),
    visit: VisitKey,
    patientId: Key,
    doses: z.array(PlannedDose).min(1),
    ...Times,
  }),
  z.strictObject({ kind: z.literal('break'), ...Times }),
])
export type PlannedStop = z.infer<typeof PlannedStop>

/** Why a plan was made: the shift began, something happened, a better one was found, or a person wanted it so. */
const Because = z.strictObject({
  kind: z.enum(['start', 'event', 'better', 'by hand', 'settled']),
  /** The facts that called for it: an order, a call, an absence, a treatment that ran over. */
  factIds: z.array(FactId).max(200),
  words: z.string().trim().max(400),
})

/**
 * A plan of a shift, given out: who gives what when, as promised. `basedOn.planId` is the plan that it follows, null
 * for the first; `inPlaceOf` names further plans that it puts an end to. What it knew is named by a hash over the ids
 * of the facts behind it, so that two plans made of different knowledge can be told apart.
 */
export const PlanIssued = defineKind({
  kind: 'plan-issued',
  version: 1,
  about: ['shiftId'],
  body: z.strictObject({
    from: Instant,
    to: Instant,
    basedOn: z.strictObject({
      planId: FactId.nullable(),
      inPlaceOf: z.array(FactId).max(20),
      factsHash: z.string().regex(/^[0-9a-f]{64}$/),
      facts: z.int().min(0),
    }),
    because: Because,
    seed: z.int().min(0),
    /** The adoption of the planning policy whose weights it was made by; null for the program's own. */
    policyFact: FactId.nullable(),
    routes: z.array(z.strictObject({ personId: Key, stops: z.array(PlannedStop) })),
    leftOut: z.array(z.strictObject({ visit: VisitKey, patientId: Key, doses: z.array(PlannedDose).min(1) })),
    price: z.strictObject({ total: Points, bound: Points.nullable(), proved: z.boolean() }),
  }),
})

/** Somebody decided that a visit stays with a person, and perhaps at a time; every plan keeps to it. */
export const VisitPinned = defineKind({
  kind: 'visit-pinned',
  version: 1,
  about: ['shiftId', 'patientId'],
  body: z.strictObject({
    visit: VisitKey,
    doses: z.array(PlannedDose).min(1),
    personId: Key,
    startAt: Instant.nullable(),
    why: z.string().trim().max(400),
    /** The pins of that visit that were known and are replaced; facts without it replaced all that came before. */
    inPlaceOf: z.array(FactId).max(20).optional(),
  }),
})

/** The visit may be planned freely again. */
export const VisitUnpinned = defineKind({
  kind: 'visit-unpinned',
  version: 1,
  about: ['shiftId', 'patientId'],
  body: z.strictObject({
    visit: VisitKey,
    doses: z.array(PlannedDose).min(1),
    why: z.string().trim().max(400),
  }),
})

/** A call for an as-needed dose came in. It is answered by a visit for the order, or charted as not given. */
export const CallReceived = defineKind({
  kind: 'call-received',
  version: 1,
  about: ['patientId', 'orderId'],
  body: z.strictObject({
    from: Text,
    need: z.enum(['now', 'soon', 'when you can']),
    note: z.string().trim().max(400),
  }),
})
