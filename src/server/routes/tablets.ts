import type { FastifyInstance } from 'fastify'
import type { ZodTypeProvider } from 'fastify-type-provider-zod'
import { EndTablet, TabletList, TabletSecret, ThisTablet } from '../../api/schemas.ts'
import { endTablet, listTablets, tabletSecret } from '../../store/tablets.ts'
import type { Context } from '../context.ts'
import { notThere } from '../problem.ts'

/**
 * The tablets that people work on: each person's secret on each, without which what a tablet keeps cannot be opened;
 * which were heard of when, with how much unsent; and giving up one that is lost.
 */
export function tabletRoutes(
  scope: FastifyInstance,
  { people, facility, allow, note, nowMs }: Context,
): void {
  const app = scope.withTypeProvider<ZodTypeProvider>()
  const now = () => new Date(nowMs()).toISOString()

  app.post(
    '/api/tablet',
    { schema: { body: ThisTablet, response: { 200: TabletSecret } } },
    async (request) => {
      const { personId } = await allow(request, null)
      const key = { facility, device_id: request.body.device, person_id: personId }
      // Not thrown but derived: a ledger brought back from an older copy gives a tablet that it never heard of the same again.
      const secret = people.secretFor(['tablet', facility, request.body.device, personId])
      const made = { secret, at: now() }
      return { secret: await tabletSecret(people.db, key, made) }
    },
  )

  app.get('/api/tablets', { schema: { response: { 200: TabletList } } }, async (request) => {
    await allow(request, 'end a tablet')
    const rows = await listTablets(people.db, facility)
    return {
      tablets: rows.map(({ device_id, person_id, waiting, heard_at, ended_at }) => ({
        device: device_id,
        personId: person_id,
        waiting,
        heardAt: heard_at,
        endedAt: ended_at,
      })),
    }
  })

  app.post('/api/tablets/end', { schema: { body: EndTablet } }, async (request) => {
    const who = await allow(request, 'end a tablet')
    const { device, personId } = request.body
    const known = await endTablet(people.db, { facility, device_id: device, person_id: personId }, now())
    if (!known) throw notThere('There is no such tablet.')
    await people.endSessions(facility, personId)
    await note(request, who, 'end a tablet', `${personId} on ${device}`)
    return { ok: true }
  })
}
