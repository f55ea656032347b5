import { z } from 'zod'
import { defineKind } from '../fact.ts'

/** Something in a message that could not be used: where, what, and the code of the standard's error table. */
const Problem = z.strictObject({
  where: z.string(),
  code: z.string(),
  what: z.string(),
})

/**
 * A message from outside, kept whole whatever became of it. `key` names sender and control id: a message that
 * comes again under the same key gets the first answer and makes nothing new.
 */
export const MessageReceived = defineKind({
  kind: 'message-received',
  version: 1,
  about: ['messageId'],
  body: z.strictObject({
    channel: z.enum(['hl7v2', 'csv', 'fhir', 'hand']),
    raw: z.string().max(4_000_000),
    encoding: z.enum(['text', 'base64']),
    key: z.string().nullable(),
    type: z.string().nullable(),
    sender: z.string().nullable(),
    answer: z.strictObject({ code: z.enum(['AA', 'AE', 'AR']), text: z.string() }).nullable(),
    problems: z.array(Problem),
    made: z.array(z.string()),
  }),
})

/** A person brought an open item under Settle to an end, and said how. */
export const ItemSettled = defineKind({
  kind: 'item-settled',
  version: 2,
  about: [],
  body: z.strictObject({
    item: z.string().min(1),
    how: z.enum([
      'answered',
      'order-corrected-at-source',
      'entered-by-hand',
      'not-for-us',
      'accepted-with-reason',
      'sent-again',
      'set-aside',
    ]),
    note: z.string().trim().min(1).max(2000),
  }),
  // Version 2 knows two more ways, for messages of ours that were refused.
  upcasts: { 1: (body: unknown) => body },
})

const Destination = z.string().min(1).max(40)

/** From here on a system of the hospital is told of treatments; what was charted before is not told. */
export const FeedOpened = defineKind({
  kind: 'feed-opened',
  version: 1,
  about: [],
  body: z.strictObject({ destination: Destination }),
})

/**
 * A message that a system of the hospital is to be told, written once and sent until it is answered. `covers` are the
 * facts that it speaks of, so that what was told can be worked out anew and held against what stands now. When it
 * could not be written there is no text, and `problem` says why.
 */
export const MessageComposed = defineKind({
  kind: 'message-composed',
  version: 1,
  about: ['messageId', 'patientId', 'orderId'],
  body: z.strictObject({
    destination: Destination,
    /** Counts the messages to this destination from 1, in the order in which they are sent. */
    number: z.int().positive(),
    type: z.enum(['RAS^O17', 'ORU^R01']),
    /** A first telling, an update of one told before, or its deletion. */
    action: z.enum(['A', 'U', 'D']),
    /** The visit, or the fact of a dose not given that had no visit. */
    subject: z.string().min(1).max(80),
    covers: z.array(z.uuid()),
    controlId: z.string().min(1).max(20),
    text: z.string().max(4_000_000).nullable(),
    problem: z.string().nullable(),
  }),
})

/** What became of a message of ours: taken, or given up with the reason. Told once, when it is certain. */
export const MessageAnswered = defineKind({
  kind: 'message-answered',
  version: 1,
  about: ['messageId'],
  body: z.strictObject({
    destination: Destination,
    outcome: z.enum(['taken', 'refused', 'not answered']),
    /** The answer as it came; null when none did. */
    answer: z.string().max(4_000_000).nullable(),
    why: z.string().max(4000),
    tries: z.int().positive(),
  }),
})
