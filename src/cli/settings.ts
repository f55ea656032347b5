import { existsSync } from 'node:fs'
import { resolve } from 'node:path'
import { z } from 'zod'
import { isThisMachine } from '../server/hospital-provider.ts'
import { isPostgres } from '../store/database.ts'
import { type Given, UsageError } from './command.ts'

/** Where the program finds its data and how it is reached. Options outrank the environment. */
export type Settings = {
  readonly database: string
  readonly facility: string
  readonly host: string
  readonly port: number
  readonly publicUrl: string | null
  readonly secret: string | null
  readonly logLevel: LogLevel
  /** The hospital's own sign-in (OpenID Connect), where one is set. */
  readonly hospital: HospitalSettings | null
  /** The file that names the lines to other systems; none when null. */
  readonly feeds: string | null
}

export type HospitalSettings = {
  readonly issuer: string
  readonly clientId: string
  readonly clientSecret: string | null
  readonly claim: string
  readonly name: string
}

const LOG_LEVELS = ['fatal', 'error', 'warn', 'info', 'debug', 'trace', 'silent'] as const
export type LogLevel = (typeof LOG_LEVELS)[number]

export const SETTINGS_OPTIONS = {
  data: { type: 'string' },
  database: { type: 'string' },
  facility: { type: 'string' },
} as const

const Environment = z.object({
  DATABASE: z.string().min(1).optional(),
  DATA: z.string().min(1).default('data'),
  FACILITY: z
    .string()
    .regex(/^[a-z][a-z0-9-]{1,40}$/, 'small letters, digits and -')
    .default('marrowby'),
  HOST: z.string().min(1).default('127.0.0.1'),
  PORT: z.coerce.number().int('a whole number').min(0).max(65_535).default(8080),
  PUBLIC_URL: z.url({ protocol: /^https?$/ }).optional(),
  SECRET: z.string().min(32, 'at least 32 characters').optional(),
  LOG_LEVEL: z.enum(LOG_LEVELS, `one of ${LOG_LEVELS.join(', ')}`).default('warn'),
  OIDC_ISSUER: z
    .url('an address, as the provider states it')
    .refine(isSafe, 'https, or plain http on this machine only')
    .optional(),
  OIDC_CLIENT_ID: z.string().min(1).optional(),
  OIDC_CLIENT_SECRET: z.string().min(1).optional(),
  OIDC_CLAIM: z.string().min(1).default('preferred_username'),
  OIDC_NAME: z.string().trim().min(1).max(60).default('the hospital'),
  FEEDS: z.string().min(1).optional(),
})

/**
 * Reads options and environment, and says in plain sentences what is wrong with them.
 * @throws UsageError
 */
export function readSettings(given: Given, environment: NodeJS.ProcessEnv): Settings {
  const read = Environment.safeParse({
    ...environment,
    ...(given.text('data') !== undefined && { DATA: given.text('data') }),
    ...(given.text('database') !== undefined && { DATABASE: given.text('database') }),
    ...(given.text('facility') !== undefined && { FACILITY: given.text('facility') }),
    ...(given.text('host') !== undefined && { HOST: given.text('host') }),
    ...(given.text('port') !== undefined && { PORT: given.text('port') }),
    ...(given.text('feeds') !== undefined && { FEEDS: given.text('feeds') }),
  })
  if (!read.success) {
    const said = read.error.issues.map(({ path, message }) => `${path.join('.')}: ${message}`)
    throw new UsageError(`The settings cannot be used. ${said.join('. ')}`)
  }
  const { DATABASE, DATA, FACILITY, HOST, PORT, PUBLIC_URL, SECRET, LOG_LEVEL, FEEDS } = read.data
  return {
    database: DATABASE ?? resolve(DATA, 'mistwright.db'),
    facility: FACILITY,
    host: HOST,
    port: PORT,
    publicUrl: PUBLIC_URL ?? null,
    secret: SECRET ?? null,
    logLevel: LOG_LEVEL,
    hospital: hospitalSettings(read.data),
    feeds: FEEDS ?? null,
  }
}

/** @throws UsageError when only half of it is set */
function hospitalSettings(set: z.infer<typeof Environment>): HospitalSettings | null {
  const { OIDC_ISSUER: issuer, OIDC_CLIENT_ID: clientId, OIDC_CLIENT_SECRET: clientSecret } = set
  if (issuer === undefined && clientId === undefined) return null
  if (issuer === undefined || clientId === undefined) {
    throw new UsageError(
      `The settings cannot be used. The hospital's sign-in needs both OIDC_ISSUER and OIDC_CLIENT_ID; ${issuer === undefined ? 'OIDC_ISSUER' : 'OIDC_CLIENT_ID'} is missing.`,
    )
  }
  return { issuer, clientId, clientSecret: clientSecret ?? null, claim: set.OIDC_CLAIM, name: set.OIDC_NAME }
}

/** Whether an address names a file, and there is none. */
export function isFileMissing(database: string): boolean {
  return !isPostgres(database) && !existsSync(database)
}

function isSafe(address: string): boolean {
  return URL.canParse(address) && (address.startsWith('https:') || isThisMachine(address))
}
