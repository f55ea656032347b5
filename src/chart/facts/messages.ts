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
  version: 1,
  about: [],
  body: z.strictObject({
    item: z.string().min(1),
    how: z.enum([
      'answered',
      'order-corrected-at-source',
      'entered-by-hand',
      'not-for-us',
      'accepted-with-reason',
    ]),
    note: z.string().trim().min(1).max(2000),
  }),
})
