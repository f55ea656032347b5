import type { FastifyInstance } from 'fastify'
import { Counter, collectDefaultMetrics, Histogram, Registry } from 'prom-client'
import type { Ledger } from '../store/ledger.ts'

/** Measures every request by route and status, never by address or person. */
export function measure(app: FastifyInstance, ledger: Ledger): Registry {
  const registry = new Registry()
  collectDefaultMetrics({ register: registry })
  const grown = new Counter({
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
  const stop = ledger.onGrowth(() => grown.inc())
  app.addHook('onClose', async () => {
    stop()
  })
  app.addHook('onResponse', async (request, reply) => {
    const labels = { route: request.routeOptions.url ?? 'none', status: String(reply.statusCode) }
    seconds.observe(labels, reply.elapsedTime / 1000)
  })
  return registry
}
