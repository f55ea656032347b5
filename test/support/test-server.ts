import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { FastifyInstance, InjectOptions, LightMyRequestResponse } from 'fastify'
import { pino } from 'pino'
import { ApiError } from '../../src/api/schemas.ts'
import type { Role } from '../../src/chart/fact.ts'
import { checkResource } from '../../src/exchange/fhir/check-resource.ts'
import { buildServer } from '../../src/server/build-server.ts'
import type { ServerParts } from '../../src/server/context.ts'
import { HospitalProvider } from '../../src/server/hospital-provider.ts'
import { People } from '../../src/server/people.ts'
import type { PeopleConfig } from '../../src/server/sign-in-library.ts'
import { type OpenDatabase, openDatabase } from '../../src/store/database.ts'
import { Ledger } from '../../src/store/ledger.ts'
import { migrate } from '../../src/store/steps.ts'
import { doorFor, feedWriter } from './door.ts'
import { TestWriter } from './facts.ts'

export const HERE = 'larkmere'
export const START = '2026-03-10T12:00:00.000Z'
export const MINUTE_MS = 60_000

/** One person a role that can sign in. */
export const STAFF = {
  amsel: 'therapist',
  falk: 'lead',
  gerlach: 'educator',
  hollen: 'learner',
  harrowgate: 'prescriber',
  keeper: 'administrator',
} as const satisfies Record<string, Role>
export type StaffId = keyof typeof STAFF

export const passwordOf = (personId: string) => `${personId} keeps seven herons`

export type TestServer = {
  readonly app: FastifyInstance
  readonly ledger: Ledger
  readonly open: OpenDatabase
  readonly people: People
  /** Moves the server's clock on. */
  readonly later: (ms: number) => void
  readonly nowMs: () => number
  /** All that was logged so far. */
  readonly log: () => string
  /** The cookie of a new session. */
  readonly signIn: (personId: StaffId, password?: string) => Promise<string>
  readonly get: (url: string, cookie?: string) => Promise<LightMyRequestResponse>
  readonly post: (
    url: string,
    cookie: string,
    body?: object,
    headers?: object,
  ) => Promise<LightMyRequestResponse>
  readonly writer: (personId: StaffId, seed?: number) => TestWriter
  readonly close: () => Promise<void>
}

/** A hospital's sign-in that cannot be reached. */
const AWAY = {
  issuer: 'http://127.0.0.1:9',
  clientId: 'mistwright',
  clientSecret: null,
  claim: 'preferred_username',
  name: 'the hospital',
  callback: 'http://127.0.0.1:8080/api/hospital-sign-in/done',
  secret: 's'.repeat(40),
}

type Settings = {
  /** An empty database; a file of its own when none is named. */
  readonly address?: string
  readonly parts?: Partial<ServerParts>
  /** Who can sign in; one of each role when nothing is said. */
  readonly staff?: readonly StaffId[]
  readonly people?: Partial<PeopleConfig>
  /** Seed of the ids that the door makes; two servers must not make the same. */
  readonly door?: number
}

/** A server as in use, on a real database, with the real door and a clock that only moves when told. */
export async function testServer({
  address,
  parts,
  people: config,
  staff,
  door = 99,
}: Settings = {}): Promise<TestServer> {
  const folder = mkdtempSync(join(tmpdir(), 'mistwright-'))
  let now = Date.parse(START)
  const nowMs = () => now
  const open = openDatabase(address ?? join(folder, 'mistwright.db'))
  await migrate(open.db, open.kind, START)
  const ledger = new Ledger(open)
  const people = await People.open(
    open,
    {
      secret: 's'.repeat(40),
      baseUrl: 'http://127.0.0.1:8080',
      idleMinutes: 15,
      longestHours: 12,
      ...config,
    },
    nowMs,
  )
  for (const personId of staff ?? (Object.keys(STAFF) as StaffId[])) {
    const named = { facility: HERE, personId, name: `Person ${personId}`, role: STAFF[personId] }
    await people.add({ ...named, password: passwordOf(personId) })
  }
  const lines: string[] = []
  const app = await buildServer({
    ledger,
    people,
    facility: HERE,
    door: doorFor(feedWriter(door, nowMs, HERE)),
    nowMs,
    appFolder: null,
    secure: false,
    hospital: new HospitalProvider(AWAY, nowMs),
    logger: pino({ level: 'trace' }, { write: (line: string) => lines.push(line) }),
    ...parts,
  })
  const inject = (options: InjectOptions) => app.inject(options)
  const post: TestServer['post'] = (url, cookie, body = {}, headers = {}) =>
    inject({ method: 'POST', url, headers: { cookie, ...headers }, payload: body })
  return {
    app,
    ledger,
    open,
    people,
    nowMs,
    post,
    later: (ms) => {
      now += ms
    },
    log: () => lines.join(''),
    signIn: async (personId, password = passwordOf(personId)) => {
      const reply = await post('/api/sign-in', '', { username: personId, password })
      if (reply.statusCode !== 200) throw new Error(`${personId} was not let in: ${reply.body}`)
      return cookieOf(reply)
    },
    get: (url, cookie = '') => inject({ method: 'GET', url, headers: { cookie } }),
    writer: (personId, seed = 1) =>
      new TestWriter(new Date(now).toISOString(), seed, { personId, role: STAFF[personId] }),
    close: async () => {
      await app.close()
      await ledger.close()
      rmSync(folder, { recursive: true, force: true })
    },
  }
}

/** The cookies that a reply sets, as a browser would send them back. */
export function cookieOf(reply: LightMyRequestResponse): string {
  return reply.cookies
    .filter(({ value }) => value !== '')
    .map(({ name, value }) => `${name}=${value}`)
    .join('; ')
}

/** Status and code of a refusal, which must have the one shape of all refusals, or FHIR's own where FHIR is spoken. */
export function refusal(reply: LightMyRequestResponse): [number, string] {
  const { resourceType, issue } = reply.json()
  if (resourceType === 'OperationOutcome') {
    if (checkResource(reply.json()).length > 0) throw new Error(`no OperationOutcome: ${reply.body}`)
    return [reply.statusCode, issue[0].details.coding[0].code]
  }
  return [reply.statusCode, ApiError.parse(reply.json()).error.code]
}
