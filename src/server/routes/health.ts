import type { FastifyInstance, FastifyRequest } from 'fastify'
import type { Registry } from 'prom-client'
import type { Context } from '../context.ts'
import { faultOf } from '../errors.ts'
import { Problem } from '../problem.ts'

/** Is it alive, can it work, and how it does. Says nothing about patients or people. */
export const healthRoutes =
  (metrics: Registry) =>
  (app: FastifyInstance, { ledger, facility, allow }: Context): void => {
    app.get('/api/health', async () => ({ ok: true }))

    app.get('/api/ready', async (request) => {
      try {
        return { ok: true, last: await ledger.last(facility) }
      } catch (error) {
        request.log.error(faultOf(error), 'not ready')
        throw new Problem(503, 'not-ready', {
          what: 'The database does not answer.',
          kept: 'What was stored before is safe; tablets keep what they write.',
          todo: 'See to the database.',
        })
      }
    })

    app.get('/api/metrics', async (request, reply) => {
      if (!fromThisMachine(request)) await allow(request, 'read metrics')
      return reply.header('content-type', metrics.contentType).send(await metrics.metrics())
    })
  }

/** A collector on this machine may read without signing in; what a proxy hands on comes from elsewhere. */
function fromThisMachine({ socket, headers }: FastifyRequest): boolean {
  const address = socket.remoteAddress ?? ''
  const isLoopback = address === '::1' || /^(::ffff:)?127\./.test(address)
  return isLoopback && headers['x-forwarded-for'] === undefined && headers.forwarded === undefined
}
