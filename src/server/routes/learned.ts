import type { FastifyInstance } from 'fastify'
import type { ZodTypeProvider } from 'fastify-type-provider-zod'
import { Learned } from '../../api/schemas.ts'
import type { Context } from '../context.ts'
import { faultOf } from '../errors.ts'
import { PastVisits } from '../past-visits.ts'

/** What the department's past visits taught, for tablets that do not hold them. Tells nothing of any patient. */
export function learnedRoutes(scope: FastifyInstance, { ledger, facility, nowMs, allow }: Context): void {
  const app = scope.withTypeProvider<ZodTypeProvider>()
  const past = new PastVisits({
    ledger,
    facility,
    nowMs,
    failed: (error) => app.log.error(faultOf(error), 'past visits were not counted'),
  })
  app.addHook('onClose', () => past.close())

  app.get('/api/learned', { schema: { response: { 200: Learned } } }, async (request) => {
    await allow(request, 'read chart')
    return past.ask()
  })
}
