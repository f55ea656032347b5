import { z } from 'zod'
import { defineKind, Instant, Role } from '../fact.ts'

const Text = z.string().trim().min(1).max(400)

/** A person on the department's list: printed name, role, and what they are signed off to do alone. */
export const StaffRecorded = defineKind({
  kind: 'staff-recorded',
  version: 1,
  about: ['personId'],
  body: z.strictObject({
    name: Text,
    role: Role,
    signedOffFor: z.array(z.string().max(80)),
    active: z.boolean(),
  }),
})

/** Who is on, where, from when to when; a learner names whom they work beside. */
export const ShiftAssigned = defineKind({
  kind: 'shift-assigned',
  version: 1,
  about: ['personId'],
  body: z.strictObject({
    from: Instant,
    to: Instant,
    units: z.array(z.string().min(1)),
    beside: z.string().max(80).optional(),
  }),
})

/** What is handed over: drafted by the program, edited and sent by a person. */
export const HandoverWritten = defineKind({
  kind: 'handover-written',
  version: 1,
  about: ['handoverId'],
  body: z.strictObject({
    units: z.array(z.string().min(1)),
    from: Instant,
    to: Instant,
    text: z.string().min(1).max(60_000),
    printedName: Text,
  }),
})

/** The next shift took it, by name. */
export const HandoverAccepted = defineKind({
  kind: 'handover-accepted',
  version: 1,
  about: ['handoverId'],
  body: z.strictObject({ printedName: Text, questions: z.string().max(4000) }),
})

/** A department document (windows, standard times, formulary, rules) put into force, whole, by a person. */
export const DocumentAdopted = defineKind({
  kind: 'document-adopted',
  version: 1,
  about: ['document'],
  body: z.strictObject({
    edition: Text,
    content: z.unknown(),
    approvedBy: Text,
    note: z.string().max(2000),
  }),
})
