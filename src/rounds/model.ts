/**
 * The published planning format `hospital-shift-1`: one shift as plain JSON. All times are whole minutes after the
 * start of the shift; all costs are whole penalty points. docs/rounds.md explains every field.
 */
import { z } from 'zod'

const id = z.string().min(1)
const minute = z.int()
const minutes = z.int()
const points = z.int()

const place = z.strictObject({ unit: id, time: minute })

const therapistBreak = z.strictObject({ unit: id, duration: minutes, earliest: minute, latest: minute })

export const therapistSchema = z.strictObject({
  id,
  start: place,
  end: place,
  break: therapistBreak.nullable(),
  skills: z.array(id),
})

export const ISOLATION_RANK = { protective: 0, none: 1, droplet: 2, contact: 2, airborne: 3 } as const
export const ISOLATION_RANKS = 4

export const patientSchema = z.strictObject({
  id,
  unit: id,
  isolation: z.enum(['protective', 'none', 'droplet', 'contact', 'airborne']),
  minGap: minutes,
  regimen: z.string().optional(),
})

export const visitSchema = z.strictObject({
  id,
  patient: id,
  kind: z.string(),
  priority: z.union([z.literal(1), z.literal(2), z.literal(3), z.literal(4)]),
  skill: id.nullable(),
  due: minute,
  earliest: minute,
  onTimeUntil: minute,
  latest: minute,
  duration: minutes,
})

const byPriority = z.tuple([points, points, points, points])

export const weightsSchema = z.strictObject({
  drop: byPriority,
  latePerMinute: byPriority,
  isolation: z.array(z.array(points).length(ISOLATION_RANKS)).length(ISOLATION_RANKS),
  handover: points,
  walk: points,
  maxLoad: points,
  reassign: points,
  postponePerMinute: points,
  promiseTolerance: minutes,
})

export const promisedVisitSchema = z.strictObject({ visit: id, therapist: id, start: minute })

export const eventSchema = z.discriminatedUnion('type', [
  z.strictObject({ time: minute, type: z.literal('new-visit'), visit: visitSchema }),
  z.strictObject({ time: minute, type: z.literal('cancel-visit'), visit: id, reason: z.string().optional() }),
  z.strictObject({ time: minute, type: z.literal('patient-away'), patient: id, from: minute, until: minute }),
  z.strictObject({ time: minute, type: z.literal('patient-back'), patient: id }),
  z.strictObject({ time: minute, type: z.literal('overrun'), visit: id, extraMinutes: minutes }),
  z.strictObject({ time: minute, type: z.literal('therapist-leaves'), therapist: id }),
  z.strictObject({ time: minute, type: z.literal('therapist-comes'), therapist: therapistSchema }),
])

export const shiftSchema = z.strictObject({
  name: z.string(),
  format: z.literal('hospital-shift-1'),
  provenance: z.string().optional(),
  seed: z.int().optional(),
  clockStart: z.string().regex(/^([01]\d|2[0-3]):[0-5]\d$/),
  horizon: minutes,
  units: z.array(z.strictObject({ id, floor: z.int() })).min(1),
  travel: z.array(z.array(minutes)),
  roomChange: minutes,
  therapists: z.array(therapistSchema),
  patients: z.array(patientSchema),
  visits: z.array(visitSchema),
  weights: weightsSchema,
  previousPlan: z.array(promisedVisitSchema).nullable(),
  events: z.array(eventSchema),
})

/** A whole shift: people, places, visits, prices of what can go wrong, the plan in force and what happens later. */
export type Shift = z.infer<typeof shiftSchema>
export type Therapist = z.infer<typeof therapistSchema>
export type Patient = z.infer<typeof patientSchema>
export type Visit = z.infer<typeof visitSchema>
export type Weights = z.infer<typeof weightsSchema>
export type PromisedVisit = z.infer<typeof promisedVisitSchema>
export type ShiftEvent = z.infer<typeof eventSchema>
export type Priority = Visit['priority']

/** The word that stands for the break in a therapist's sequence. */
export const BREAK = 'break'

/** A plan: per therapist (in the shift's order) the visit ids in sequence, with the word `break` once. */
export type Plan = { readonly routes: readonly (readonly string[])[] }
