import { z } from 'zod'
import { canonicalJson } from './canonical.ts'

/** An instant in UTC, ISO 8601, to the millisecond. The facility's time zone is a document, not part of it. */
export const Instant = z.iso.datetime({ precision: 3, offset: false })

export const ROLES = [
  'therapist',
  'lead',
  'educator',
  'learner',
  'prescriber',
  'administrator',
  'system',
] as const
export const Role = z.enum(ROLES)
export type Role = z.infer<typeof Role>

const Key = z.string().min(1).max(80)

/** What a fact is about. Folds find their facts by these. */
export const About = z.strictObject({
  patientId: Key.optional(),
  orderId: Key.optional(),
  visitId: Key.optional(),
  messageId: Key.optional(),
  personId: Key.optional(),
  handoverId: Key.optional(),
  shiftId: Key.optional(),
  document: Key.optional(),
})
export type About = z.infer<typeof About>

/** Who did it. `system` is the program itself: reading a message, reviewing an order. */
export const Actor = z.strictObject({ personId: Key, role: Role })
export type Actor = z.infer<typeof Actor>

/**
 * One thing that happened, written once, never changed. `happenedAt` is when it happened at the bedside,
 * `recordedAt` when it was written down (a late entry has both), `corrects` the id of the fact it puts right.
 */
export const FactEnvelope = z.strictObject({
  id: z.uuid({ version: 'v7' }),
  facility: Key,
  kind: Key,
  version: z.int().positive(),
  about: About,
  happenedAt: Instant,
  recordedAt: Instant,
  by: Actor,
  device: Key,
  corrects: z.uuid({ version: 'v7' }).optional(),
  body: z.unknown(),
})
export type FactEnvelope = z.infer<typeof FactEnvelope>

/** A fact whose body has been read by its kind. */
export type Fact<Kind extends string = string, Body = unknown> = Omit<FactEnvelope, 'kind' | 'body'> & {
  readonly kind: Kind
  readonly body: Body
}

/** A kind of fact: its name, its present version, what it must be about, its body, and how older bodies are read. */
export type FactKind<Kind extends string = string, Body = unknown> = {
  readonly kind: Kind
  readonly version: number
  readonly about: readonly (keyof About)[]
  readonly body: z.ZodType<Body>
  /** Steps from version n to n + 1, keyed by n. Each takes the body as stored and gives the next version's. */
  readonly upcasts?: Readonly<Record<number, (body: never) => unknown>>
}

/** Ties a kind's name to its body. */
export function defineKind<Kind extends string, Body>(kind: FactKind<Kind, Body>): FactKind<Kind, Body> {
  return kind
}

export type FactOf<K> = K extends FactKind<infer Kind, infer Body> ? Fact<Kind, Body> : never

/** The text that is stored and hashed. */
export function factText(fact: FactEnvelope | Fact): string {
  return canonicalJson(fact)
}

/** Facts in the order in which they happened; ties by id, so that every device sorts alike. */
export function inOrder<F extends Pick<Fact, 'happenedAt' | 'id'>>(facts: Iterable<F>): F[] {
  return [...facts].sort((a, b) =>
    a.happenedAt === b.happenedAt
      ? a.id < b.id
        ? -1
        : a.id > b.id
          ? 1
          : 0
      : a.happenedAt < b.happenedAt
        ? -1
        : 1,
  )
}
