import type { FastifyInstance } from 'fastify'
import { Counter, collectDefaultMetrics, Histogram, Registry } from 'prom-client'
import type { Context } from '../build-server.ts'

/** Is it alive, can it work, and how it does. Says nothing about patients or people. */
export function healthRoutes(app: FastifyInstance, { ledger, facility }: Context): void {
  const registry = new Registry()
  collectDefaultMetrics({ register: registry })
  const stored = new Counter({
    name: 'mistwright_ledger_growth_total',
    help: 'Times the ledger grew',
    registers: [registry],
  })
  const seconds = new Histogram({
    name: 'mistwright_request_seconds',
    help: 'Time to answer, by route and status',
    labelNames: ['route', 'status'],
    registers: [registry],
  })
  const stop = ledger.onGrowth(() => stored.inc())
  app.addHook('onClose', async () => {
    stop()
  })
  app.addHook('onResponse', async (request, reply) => {
    seconds.observe(
      { route: request.routeOptions.url ?? 'none', status: String(reply.statusCode) },
      reply.elapsedTime / 1000,
    )
  })
  app.get('/api/health', async () => ({ ok: true }))
  app.get('/api/ready', async () => ({ ok: true, last: await ledger.last(facility) }))
  app.get('/api/metrics', async (_request, reply) =>
    reply.header('content-type', registry.contentType).send(await registry.metrics()),
  )
}
