import { z } from 'zod'

/** A host that only this machine can reach. */
const LOOPBACK = /^(127\.\d+\.\d+\.\d+|::1|localhost)$/

const Name = z.string().regex(/^[a-z][a-z0-9-]{0,30}$/, 'small letters, digits and -, at most 31')
const Port = z.int().min(1).max(65_535)
const Seconds = z.number().positive().max(86_400)
const Path = z.string().min(1)
const Party = z.strictObject({ application: z.string().min(1).max(180), facility: z.string().max(180) })

/** What the program listens to: one address, over which any number of systems send. */
const Listen = z.strictObject({
  host: z.string().min(1).default('127.0.0.1'),
  port: z.int().min(0).max(65_535),
  /** Key and certificate as PEM files; with `clientsSignedBy` only clients that show a certificate of that authority. */
  tls: z.strictObject({ key: Path, certificate: Path, clientsSignedBy: Path.optional() }).optional(),
  /** Addresses that may connect; any when not said. */
  from: z
    .array(z.union([z.ipv4(), z.ipv6()]))
    .min(1)
    .optional(),
  mostConnections: z.int().min(1).max(1000).default(32),
  /** A message that was begun must be whole, and an answer taken, within this time [s]. */
  frameSeconds: Seconds.default(30),
  /** A larger message is answered with an error [bytes]. */
  largestBytes: z.int().min(1000).max(2_000_000).default(2_000_000),
})

/** A system that is told of treatments. */
const Destination = z.strictObject({
  name: Name,
  host: z.string().min(1),
  port: Port,
  tls: z
    .strictObject({
      signedBy: Path.optional(),
      serverName: z.string().min(1).optional(),
      key: Path.optional(),
      certificate: Path.optional(),
    })
    .refine(
      ({ key, certificate }) => (key === undefined) === (certificate === undefined),
      'key and certificate go together',
    )
    .optional(),
  receiver: Party,
  messages: z.array(z.enum(['RAS^O17', 'ORU^R01'])).min(1),
  /** How long to wait for a connection, and then for an answer [s]. */
  answerSeconds: Seconds.default(30),
  /** The first wait before a message is sent again, and the longest [s]; each wait is twice the one before. */
  firstWaitSeconds: Seconds.default(1),
  longestWaitSeconds: Seconds.default(300),
  /** A message that was sent so often without an answer is given up, so that the others go on. */
  mostTriesUnanswered: z.int().min(1).max(1000).default(10),
  /** So often a message that was rejected as a whole (AR) is sent before it is given up. */
  mostTriesRejected: z.int().min(1).max(100).default(3),
})
export type Destination = z.infer<typeof Destination>
export type Listen = z.infer<typeof Listen>

const Feeds = z
  .strictObject({
    us: Party.default({ application: 'MISTWRIGHT', facility: '' }),
    /** P production, T training, D debugging (table 0103). */
    processingId: z.enum(['P', 'T', 'D']).default('P'),
    listen: Listen.optional(),
    send: z.array(Destination).default([]),
  })
  .superRefine(({ send }, context) => {
    const names = send.map(({ name }) => name)
    for (const [at, name] of names.entries()) {
      if (names.indexOf(name) === at) continue
      context.addIssue({ code: 'custom', path: ['send', at, 'name'], message: `${name} is there twice` })
    }
  })

/** The lines to other systems of the hospital, as docs/department.md describes the file. */
export type Feeds = z.infer<typeof Feeds>

export type FeedsRead =
  | { readonly ok: true; readonly feeds: Feeds; readonly warnings: readonly string[] }
  | { readonly ok: false; readonly what: string }

/** Reads the settings file, and says in plain sentences what is wrong with it, or unsafe. Never throws. */
export function readFeeds(text: string): FeedsRead {
  let given: unknown
  try {
    given = JSON.parse(text)
  } catch {
    return { ok: false, what: 'The file of feeds is not JSON.' }
  }
  const read = Feeds.safeParse(given)
  if (read.success) return { ok: true, feeds: read.data, warnings: warningsOf(read.data) }
  const said = read.error.issues.map(({ path, message }) => `${path.join('.') || 'the whole'}: ${message}`)
  return { ok: false, what: `The file of feeds cannot be used. ${said.join('. ')}` }
}

/** HL7's own protocol neither hides nor checks anything, so on a network it wants TLS. */
function warningsOf({ listen, send }: Feeds): string[] {
  const isOpen = listen && !LOOPBACK.test(listen.host) && !listen.tls
  return [
    ...(isOpen
      ? [
          `Messages are taken on ${listen.host} without TLS${listen.from ? '' : ', from any address'}: whoever reaches it can read and write them. Set listen.tls, or keep it on a closed network.`,
        ]
      : []),
    ...send
      .filter(({ host, tls }) => !LOOPBACK.test(host) && !tls)
      .map(({ name }) => `Messages to ${name} go without TLS: whoever is on that network can read them.`),
  ]
}
