import type { FastifyInstance } from 'fastify'
import type { ZodTypeProvider } from 'fastify-type-provider-zod'
import { z } from 'zod'
import { documentsInForce } from '../../chart/documents/documents-in-force.ts'
import type { Context } from '../context.ts'
import { handoverPdf } from '../handover-pdf.ts'
import { notThere } from '../problem.ts'

/** A handover as a file to print. */
export function handoverRoutes(scope: FastifyInstance, { record, nowMs, allow, note }: Context): void {
  const app = scope.withTypeProvider<ZodTypeProvider>()
  app.get(
    '/api/handovers/:file',
    { schema: { params: z.strictObject({ file: z.string().regex(/^[\w-]+\.pdf$/) }) } },
    async (request, reply) => {
      const who = await allow(request, 'read chart')
      const id = request.params.file.replace(/\.pdf$/, '')
      const handover = await record.read((chart) => chart.handover(id))
      if (!handover) throw notThere('There is no such handover.')
      await note(request, who, 'print handover', id)
      const now = new Date(nowMs()).toISOString()
      const adoptions = await record.read((chart) => chart.factsAbout('document', 'site'))
      const site = documentsInForce(adoptions, now).documents.site.content
      return reply.header('content-type', 'application/pdf').send(await handoverPdf(handover, site))
    },
  )
}
