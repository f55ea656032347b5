import type { FastifyInstance } from 'fastify'
import type { ZodTypeProvider } from 'fastify-type-provider-zod'
import { AccessLog, AccessLogQuery, Looks } from '../../api/schemas.ts'
import { firstBrokenNote } from '../../store/access-log.ts'
import type { Context } from '../context.ts'

const PAGE = 2000

/** Who looked at, printed or took out what; reading this is noted too. */
export function accessRoutes(scope: FastifyInstance, { ledger, facility, allow, note }: Context): void {
  const app = scope.withTypeProvider<ZodTypeProvider>()
  // Who opened it, and where, is the session's word; when, the tablet's, beside what its clock showed when it told.
  // Told twice because an answer was lost, it stands twice, under one id.
  app.post('/api/looks', { schema: { body: Looks } }, async (request) => {
    const who = await allow(request, 'read chart', { evenLocked: true })
    const { sentAt, device, looks } = request.body
    for (const { id, at, patientId, where } of looks) {
      const told = `${patientId} at ${at} on ${device}, whose clock then said ${sentAt}, look ${id}`
      await note(request, who, `opened ${where}`, told)
    }
    return { ok: true }
  })
  app.get(
    '/api/access-log',
    { schema: { querystring: AccessLogQuery, response: { 200: AccessLog } } },
    async (request) => {
      const who = await allow(request, 'read access log')
      await note(request, who, 'read access log')
      const { after, limit, personId } = request.query
      const rows = await ledger.accessAfter(facility, after, limit, personId)
      const pages = (from: number) => ledger.accessAfter(facility, from, PAGE)
      return {
        notes: rows.map(({ sequence, at, person_id, what, about, request_id }) => ({
          sequence,
          at,
          personId: person_id,
          what,
          about,
          requestId: request_id,
        })),
        brokenAt: after === 0 ? await firstBrokenNote(pages) : null,
      }
    },
  )
}
