import { randomUUID } from 'node:crypto'
import helmet from '@fastify/helmet'
import rateLimit from '@fastify/rate-limit'
import Fastify, { type FastifyInstance, LogController } from 'fastify'
import { serializerCompiler, validatorCompiler } from 'fastify-type-provider-zod'
import { documentsInForce } from '../chart/documents/documents-in-force.ts'
import { mayDo } from '../chart/permissions.ts'
import { closeInOrder } from './close-in-order.ts'
import type { Context, ServerParts } from './context.ts'
import { tellError, tellErrors } from './errors.ts'
import { headers } from './headers.ts'
import { Intake } from './intake.ts'
import { LiveChart } from './live-chart.ts'
import { measure } from './measure.ts'
import { OnDemand } from './on-demand.ts'
import { openFeeds } from './open-feeds.ts'
import { isLocked, notAllowed, notSignedIn, Problem } from './problem.ts'
import { accessRoutes } from './routes/access.ts'
import { exportRoutes } from './routes/exports.ts'
import { factRoutes } from './routes/facts.ts'
import { fhirRoutes } from './routes/fhir.ts'
import { handoverRoutes } from './routes/handovers.ts'
import { healthRoutes } from './routes/health.ts'
import { hospitalSignInRoutes } from './routes/hospital-sign-in.ts'
import { learnedRoutes } from './routes/learned.ts'
import { liveRoutes } from './routes/live.ts'
import { messageRoutes } from './routes/messages.ts'
import { peopleRoutes } from './routes/people.ts'
import { pullRoutes } from './routes/pull.ts'
import { sessionRoutes } from './routes/session.ts'
import { tabletRoutes } from './routes/tablets.ts'
import { serveApp } from './serve-app.ts'

/** The largest request that is taken [bytes]. */
const BODY_LIMIT = 6_000_000

export async function buildServer(parts: ServerParts): Promise<FastifyInstance> {
  const app = Fastify({
    ...(parts.logger ? { loggerInstance: parts.logger } : { logger: false }),
    bodyLimit: BODY_LIMIT,
    genReqId: () => randomUUID(),
    logController: new LogController({ disableRequestLogging: true }),
    // A proxy that ends TLS stands on this machine or beside it; what strangers say of themselves is not believed.
    trustProxy: parts.secure ? ['loopback', 'linklocal', 'uniquelocal'] : false,
    frameworkErrors: (error, request, reply) => void tellError(error, request, reply),
  })
  app.setValidatorCompiler(validatorCompiler)
  app.setSerializerCompiler(serializerCompiler)
  await app.register(helmet, headers(parts.secure))
  await app.register(rateLimit, { global: false })
  closeInOrder(app)
  logRequests(app)
  refuseOtherSites(app, parts.publicUrl)
  tellErrors(app)
  const context = contextOf(parts)
  const metrics = measure(app, parts.ledger)
  if (parts.feeds) openFeeds(app, context, metrics, parts.feeds)
  for (const routes of [
    sessionRoutes,
    hospitalSignInRoutes,
    factRoutes,
    pullRoutes,
    liveRoutes,
    learnedRoutes,
    messageRoutes,
    handoverRoutes,
    exportRoutes,
    peopleRoutes,
    tabletRoutes,
    accessRoutes,
    fhirRoutes,
    healthRoutes(metrics),
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
  const { people, facility, ledger, nowMs } = parts
  const record = new OnDemand(ledger, facility)
  const note: Context['note'] = (request, { personId }, what, about) =>
    ledger.noteAccess({
      facility,
      at: new Date(nowMs()).toISOString(),
      person_id: personId,
      what,
      about: about ?? null,
      request_id: request.id,
    })
  return {
    ...parts,
    chart: new LiveChart(ledger, facility),
    record,
    intake: new Intake({ ledger, facility, record, nowMs }),
    lockAfterMinutes: async () => {
      const adoptions = await record.read((chart) => chart.factsAbout('document', 'site'))
      const { documents } = documentsInForce(adoptions, new Date(nowMs()).toISOString())
      return documents.site.content.lockAfterMinutes
    },
    note,
    allow: async (request, act, more = {}) => {
      const who = await people.who(request.headers.cookie ?? '')
      if (!who || who.facility !== facility) throw notSignedIn()
      if (who.locked && !more.evenLocked) throw isLocked()
      if (act === null || mayDo(who.role, act)) return who
      await note(request, who, 'refused', act)
      throw notAllowed(`A ${who.role} may not ${act}.`)
    },
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
function refuseOtherSites(app: FastifyInstance, publicUrl: string | undefined): void {
  const publicHost = publicUrl === undefined ? undefined : new URL(publicUrl).host
  app.addHook('onRequest', async (request, reply) => {
    reply.header('x-request-id', request.id)
    if (/^\/(api|fhir)(\/|\?|$)/.test(request.url)) reply.header('cache-control', 'no-store')
    if (['GET', 'HEAD', 'OPTIONS'].includes(request.method)) return
    const { origin, host } = request.headers
    const site = request.headers['sec-fetch-site']
    const from = origin === undefined ? undefined : URL.canParse(origin) ? new URL(origin).host : null
    const ours = from === undefined || (from !== null && (from === host || from === publicHost))
    if (ours && (site === undefined || site === 'same-origin' || site === 'none')) return
    throw new Problem(403, 'other-site', {
      what: 'This was asked for by another site.',
      todo: 'Do it from the app itself.',
    })
  })
}
