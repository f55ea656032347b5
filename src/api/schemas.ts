/**
 * What server and app agree on: every request and reply, in one place that both import. The server checks
 * requests against these and shapes replies by them; the app reads replies through them.
 */
import { z } from 'zod'
import { FactEnvelope, Instant, Role } from '../chart/fact.ts'
import { OrderBody } from '../chart/facts/orders.ts'
import { GASES } from '../chart/facts/visit.ts'

/** An error a person can act on: what happened, what was kept, what to do. Never a stack trace. */
export const ApiError = z.strictObject({
  error: z.strictObject({
    code: z.string(),
    what: z.string(),
    kept: z.string(),
    todo: z.string(),
    fields: z.array(z.strictObject({ where: z.string(), what: z.string() })).optional(),
    requestId: z.string().optional(),
  }),
})
export type ApiError = z.infer<typeof ApiError>

/** GET /api/me: who is signed in, and whether the session waits to be unlocked. */
export const Me = z.strictObject({
  personId: z.string(),
  name: z.string(),
  role: Role,
  facility: z.string(),
  pinSet: z.boolean(),
  locked: z.boolean(),
  /** Idle minutes after which the app locks itself. */
  lockAfterMinutes: z.number(),
  serverNow: Instant,
  /** When this session began: another time is another sign-in. */
  signedInAt: Instant,
})
export type Me = z.infer<typeof Me>

/** POST /api/sign-in. */
export const SignIn = z.strictObject({
  username: z.string().min(1).max(80),
  password: z.string().min(1).max(256),
})
export type SignIn = z.infer<typeof SignIn>

/** GET /api/sign-in-ways: how one may sign in besides by name and password. */
export const SignInWays = z.strictObject({ hospital: z.strictObject({ name: z.string() }).nullable() })

/** Why the hospital's sign-in opened nothing; the app finds it behind the # of its address as `sign-in=…`. */
export const SignInRefusal = z.enum(['away', 'not-vouched-for', 'unknown', 'another'])
export type SignInRefusal = z.infer<typeof SignInRefusal>

/** POST /api/unlock, and POST /api/pin to set one: with the password, unless the session has only just begun. */
export const Unlock = z.strictObject({ pin: z.string().regex(/^\d{6,12}$/, 'a PIN of 6 to 12 digits') })
export const SetPin = z.strictObject({
  password: z.string().max(256).exactOptional(),
  pin: Unlock.shape.pin,
})

export const Device = z.string().min(1).max(80)

/** POST /api/tablet: the secret [32 bytes, base64url] that opens what this person keeps on this tablet. */
export const ThisTablet = z.strictObject({ device: Device })
export const TabletSecret = z.strictObject({ secret: z.string() })

/** GET /api/tablets: who worked on which tablet, when it was heard of last, and how much it had then to send. */
export const TabletList = z.strictObject({
  tablets: z.array(
    z.strictObject({
      device: z.string(),
      personId: z.string(),
      waiting: z.int(),
      heardAt: Instant,
      endedAt: Instant.nullable(),
    }),
  ),
})
export type TabletList = z.infer<typeof TabletList>

/** POST /api/tablets/end: gives up a tablet that is lost, and ends the sessions of who worked on it. */
export const EndTablet = z.strictObject({ device: Device, personId: z.string().min(1).max(80) })

/** POST /api/facts: facts written on a device, sent as often as it takes. `waiting`: how many it then still has. */
export const Upload = z.strictObject({
  sentAt: Instant,
  facts: z.array(FactEnvelope).min(1).max(500),
  device: Device.exactOptional(),
  waiting: z.int().min(0).exactOptional(),
})
export type Upload = z.infer<typeof Upload>

/** One answer a fact. `known` means it was stored before: sending again changed nothing. */
export const UploadAnswer = z.strictObject({
  serverNow: Instant,
  results: z.array(
    z.discriminatedUnion('status', [
      z.strictObject({ id: z.string(), status: z.literal('stored'), sequence: z.int() }),
      z.strictObject({ id: z.string(), status: z.literal('known'), sequence: z.int() }),
      z.strictObject({
        id: z.string(),
        status: z.literal('refused'),
        problems: z.array(z.strictObject({ where: z.string(), what: z.string() })),
      }),
    ]),
  ),
})
export type UploadAnswer = z.infer<typeof UploadAnswer>

export const EntryHash = z.string().regex(/^[0-9a-f]{64}$/)

/** An entry of the ledger as tablets are told it. */
export const LedgerEntryTold = z.strictObject({
  sequence: z.int(),
  receivedAt: Instant,
  /** How far the writing device was ahead of the server [ms]; null when nobody said. */
  deviceAheadMs: z.number().nullable(),
  fact: FactEnvelope,
})
export type LedgerEntryTold = z.infer<typeof LedgerEntryTold>

const WholeMs = z.int().min(0)
/** A place in the list of names that comes along. */
const Named = z.int().min(0)

/** The run of a past visit: visit, cup, ended [ms since 1970], ran [ms], how, left [mL], fill [mL], gas, flow [L/min], by a compressor. */
const RunTold = z.tuple([
  z.string(),
  Named,
  WholeMs,
  WholeMs,
  z.enum(['finished', 'stopped']),
  z.number().min(0).nullable(),
  z.number().min(0).nullable(),
  z.enum(GASES),
  z.number().positive(),
  z.boolean(),
])
/** The stay of a past visit: visit and opened [ms since 1970]; of a whole one category, cup, medicines, run [ms], hands [ms], forecast [min]. */
const StayTold = z.tuple([
  z.string(),
  WholeMs,
  z.tuple([Named, Named, Named, z.int().positive(), z.int().positive(), z.number().nullable()]).nullable(),
])

/**
 * GET /api/learned: what past visits took, for tablets that do not hold them; nothing of whom they were paid to. Null
 * while the server has yet to count them.
 */
export const Learned = z.strictObject({
  past: z
    .strictObject({
      /** By the server's clock. */
      countedAt: Instant,
      names: z.array(z.string()),
      runs: z.array(RunTold),
      stays: z.array(StayTold),
    })
    .refine(
      ({ names, runs, stays }) =>
        runs.every(([, cup]) => cup < names.length) &&
        stays.every(([, , took]) => took === null || Math.max(took[0], took[1], took[2]) < names.length),
      'a name did not come along',
    )
    .nullable(),
})
export type Learned = z.infer<typeof Learned>

/** GET /api/live, server-sent events named `ledger`: the ledger has grown to `last`. */
export const LiveEvent = z.strictObject({ last: z.int() })

/** POST /api/messages: a file of HL7 v2 messages, or an order list as CSV. */
export const MessageUpload = z.strictObject({
  channel: z.enum(['hl7v2', 'csv']),
  text: z.string().min(1).max(2_000_000),
  fileName: z.string().max(200).optional(),
})
export type MessageUpload = z.infer<typeof MessageUpload>

/** One answer a message. `replayed` means the first answer was given again and nothing was made. */
export const MessageAnswers = z.strictObject({
  answers: z.array(
    z.strictObject({
      key: z.string().nullable(),
      type: z.string().nullable(),
      code: z.enum(['AA', 'AE', 'AR']).nullable(),
      text: z.string().nullable(),
      replayed: z.boolean(),
      made: z.array(z.strictObject({ id: z.string(), kind: z.string() })),
      problems: z.array(z.strictObject({ where: z.string(), code: z.string(), what: z.string() })),
    }),
  ),
})
export type MessageAnswers = z.infer<typeof MessageAnswers>

/** GET /api/verify: the chain, re-computed from the first entry. */
export const Verified = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('whole'), entries: z.int(), lastHash: z.string() }),
  z.strictObject({
    kind: z.literal('broken'),
    entries: z.int(),
    sequence: z.int(),
    factId: z.string(),
    why: z.string(),
  }),
])
export type Verified = z.infer<typeof Verified>

/** POST /api/orders: an order entered by hand for a patient that the census knows. */
export const HandOrder = z.strictObject({ patientId: z.string().min(1), order: OrderBody })
export type HandOrder = z.infer<typeof HandOrder>

/** POST /api/people: somebody new who may sign in. */
export const NewPerson = z.strictObject({
  personId: z
    .string()
    .regex(/^[a-z][a-z0-9_]{2,29}$/, 'small letters, digits and _, beginning with a letter'),
  name: z.string().trim().min(1).max(200),
  role: Role.exclude(['system']),
  /** What they are signed off to do alone. */
  signedOffFor: z.array(z.string().max(80)).default([]),
  password: z.string().min(1).max(256),
})

/** POST /api/people/active: lets somebody in no more, or again. */
export const PersonActive = z.strictObject({ personId: z.string().min(1), active: z.boolean() })

/** POST /api/people/password: a new password for somebody who lost theirs; ends their sessions. */
export const GivePassword = z.strictObject({
  personId: z.string().min(1).max(80),
  password: z.string().min(1).max(256),
})

/** POST /api/password: a new password for oneself; ends all sessions, this one too. */
export const ChangePassword = z.strictObject({
  password: z.string().min(1).max(256),
  newPassword: z.string().min(1).max(256),
})

/** GET /api/people. */
export const PeopleList = z.strictObject({
  people: z.array(
    z.strictObject({ personId: z.string(), name: z.string(), role: z.string(), active: z.boolean() }),
  ),
})

/** A patient's record opened on a tablet, with a network or without; told to the access log once there is one. */
export const Look = z.strictObject({
  id: z.uuid(),
  at: Instant,
  patientId: z.string().min(1).max(80),
  where: z.enum(['patient', 'visit']),
})
export type Look = z.infer<typeof Look>

/** POST /api/looks: what was opened on this tablet since it was told last; `sentAt` says what its clock shows. */
export const Looks = z.strictObject({
  sentAt: Instant,
  device: Device,
  looks: z.array(Look).min(1).max(200),
})

/** GET /api/access-log?after=N&limit=M&personId=P: who looked at, printed or took out what, in order. */
export const AccessLogQuery = z.strictObject({
  after: z.coerce.number().int().min(0).default(0),
  limit: z.coerce.number().int().min(1).max(2000).default(500),
  personId: z.string().min(1).max(80).optional(),
})
export const AccessLog = z.strictObject({
  notes: z.array(
    z.strictObject({
      sequence: z.int(),
      at: Instant,
      personId: z.string(),
      what: z.string(),
      about: z.string().nullable(),
      requestId: z.string(),
    }),
  ),
  /** The first note that was changed or taken out; null while the list holds. Looked for only from the first page. */
  brokenAt: z.int().nullable(),
})
