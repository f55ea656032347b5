import { randomUUID } from 'node:crypto'
import helmet from '@fastify/helmet'
import rateLimit from '@fastify/rate-limit'
import Fastify, { type FastifyBaseLogger, type FastifyInstance, type FastifyRequest } from 'fastify'
import {
  hasZodFastifySchemaValidationErrors,
  serializerCompiler,
  validatorCompiler,
} from 'fastify-type-provider-zod'
import { type Act, mayDo } from '../chart/permissions.ts'
import type { Ledger } from '../store/ledger.ts'
import type { MessageDoor } from './door.ts'
import { LiveChart } from './live-chart.ts'
import type { People, SignedIn } from './people.ts'
import { isLocked, notAllowed, notSignedIn, Problem } from './problem.ts'
import { exportRoutes } from './routes/exports.ts'
import { factRoutes } from './routes/facts.ts'
import { handoverRoutes } from './routes/handovers.ts'
import { healthRoutes } from './routes/health.ts'
import { messageRoutes } from './routes/messages.ts'
import { peopleRoutes } from './routes/people.ts'
import { sessionRoutes } from './routes/session.ts'
import { serveApp } from './serve-app.ts'

/** Everything a server is made of; tests give their own clock and folder. */
export type ServerParts = {
  readonly ledger: Ledger
  readonly people: People
  readonly facility: string
  readonly door: MessageDoor
  readonly nowMs: () => number
  /** Where the built app lies; null serves the API only. */
  readonly appFolder: string | null
  readonly lockAfterMinutes: number
  /** True behind TLS: then browsers are told to come by https only. */
  readonly secure: boolean
  readonly logger: FastifyBaseLogger | false
}

/** What routes are given: the parts, the chart, and the checks in one place. */
export type Context = ServerParts & {
  readonly chart: LiveChart
  /** Who asks. @throws Problem 401, 423 or 403 */
  readonly allow: (
    request: FastifyRequest,
    act: Act | null,
    more?: { readonly evenLocked?: boolean },
  ) => Promise<SignedIn>
  /** Notes that somebody looked at or took out something. */
  readonly note: (request: FastifyRequest, who: SignedIn, what: string, about?: string) => Promise<void>
}

/** The largest request that is taken [bytes]. */
const BODY_LIMIT = 6_000_000

export async function buildServer(parts: ServerParts): Promise<FastifyInstance> {
  const app = Fastify({
    ...(parts.logger ? { loggerInstance: parts.logger } : { logger: false }),
    bodyLimit: BODY_LIMIT,
    genReqId: () => randomUUID(),
    disableRequestLogging: true,
    trustProxy: parts.secure,
  })
  app.setValidatorCompiler(validatorCompiler)
  app.setSerializerCompiler(serializerCompiler)
  await app.register(helmet, headers(parts.secure))
  await app.register(rateLimit, { global: false })
  logRequests(app)
  refuseOtherSites(app)
  tellErrors(app)
  const context = contextOf(parts)
  for (const routes of [
    sessionRoutes,
    factRoutes,
    messageRoutes,
    handoverRoutes,
    exportRoutes,
    peopleRoutes,
    healthRoutes,
  ]) {
    await app.register((scope, _options, done) => {
      routes(scope, context)
      done()
    })
  }
  await serveApp(app, parts.appFolder)
  return app
}

function contextOf(parts: ServerParts): Context {
  return {
    ...parts,
    chart: new LiveChart(parts.ledger, parts.facility),
    allow: async (request, act, more = {}) => {
      const who = await parts.people.who(request.headers.cookie ?? '')
      if (!who || who.facility !== parts.facility) throw notSignedIn()
      if (who.locked && !more.evenLocked) throw isLocked()
      if (act !== null && !mayDo(who.role, act)) throw notAllowed(`A ${who.role} may not ${act}.`)
      return who
    },
    note: (request, who, what, about) =>
      parts.ledger.noteAccess({
        facility: parts.facility,
        at: new Date(parts.nowMs()).toISOString(),
        person_id: who.personId,
        what,
        about: about ?? null,
        request_id: request.id,
      }),
  }
}

/**
 * Scripts come from here alone. Styles may stand in attributes, because the component library sets positions so.
 * Without TLS nothing asks for https: a tablet on a local address would get blank pages.
 */
function headers(secure: boolean) {
  return {
    contentSecurityPolicy: {
      useDefaults: false,
      directives: {
        'default-src': ["'self'"],
        'script-src': ["'self'", "'wasm-unsafe-eval'"],
        'style-src': ["'self'", "'unsafe-inline'"],
        'img-src': ["'self'", 'data:', 'blob:'],
        'connect-src': ["'self'"],
        'worker-src': ["'self'", 'blob:'],
        'object-src': ["'none'"],
        'base-uri': ["'none'"],
        'form-action': ["'self'"],
        'frame-ancestors': ["'none'"],
        ...(secure && { 'upgrade-insecure-requests': [] }),
      },
    },
    strictTransportSecurity: secure ? { maxAge: 31_536_000, includeSubDomains: true } : false,
    referrerPolicy: { policy: 'no-referrer' as const },
    crossOriginEmbedderPolicy: false,
  }
}

/** One line a request: method, route pattern, status, time. Never the address itself, a body or a cookie. */
function logRequests(app: FastifyInstance): void {
  app.addHook('onResponse', async (request, reply) => {
    const route = request.routeOptions.url ?? 'none'
    request.log.info(
      { method: request.method, route, status: reply.statusCode, ms: Math.round(reply.elapsedTime) },
      'request',
    )
  })
}

/** A change may only be asked for by our own pages: other sites' forms and scripts are refused by their origin. */
function refuseOtherSites(app: FastifyInstance): void {
  app.addHook('onRequest', async (request, reply) => {
    reply.header('x-request-id', request.id)
    if (request.url.startsWith('/api/')) reply.header('cache-control', 'no-store')
    if (['GET', 'HEAD', 'OPTIONS'].includes(request.method)) return
    const { origin, host } = request.headers
    const site = request.headers['sec-fetch-site']
    const sameOrigin = origin === undefined || (URL.canParse(origin) && new URL(origin).host === host)
    if (sameOrigin && (site === undefined || site === 'same-origin' || site === 'none')) return
    throw new Problem(403, 'other-site', {
      what: 'This was asked for by another site.',
      todo: 'Do it from the app itself.',
    })
  })
}

function tellErrors(app: FastifyInstance): void {
  app.setErrorHandler((error, request, reply) => {
    const problem = problemOf(error)
    if (problem.status >= 500) request.log.error({ err: error }, 'fault')
    return reply.code(problem.status).send(problem.body(request.id))
  })
}

function problemOf(error: unknown): Problem {
  if (error instanceof Problem) return error
  if (hasZodFastifySchemaValidationErrors(error)) {
    const fields = error.validation.map(({ instancePath, message }) => ({
      where: instancePath.replace(/^\//, '').replaceAll('/', '.') || '(whole)',
      what: message ?? 'not as it must be',
    }))
    return new Problem(400, 'not-valid', {
      what: 'The request is not as it must be.',
      todo: 'Mend the fields that are named and send it again.',
      fields,
    })
  }
  const status =
    typeof error === 'object' && error !== null && 'statusCode' in error ? Number(error.statusCode) : 500
  if (status === 413)
    return new Problem(413, 'too-large', {
      what: 'That is larger than is taken at once.',
      todo: 'Send it in parts.',
    })
  if (status === 429)
    return new Problem(429, 'too-often', {
      what: 'That was tried too often.',
      todo: 'Wait a few minutes and try again.',
    })
  if (status >= 400 && status < 500)
    return new Problem(status, 'not-read', {
      what: 'The request could not be read.',
      todo: 'Send JSON as the app does.',
    })
  return new Problem(500, 'fault', {
    what: 'Something went wrong here.',
    kept: 'What was stored before is safe.',
    todo: 'Try again; if it stays so, give the administrator the request id.',
  })
}
