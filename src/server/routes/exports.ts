import { Readable } from 'node:stream'
import type { FastifyInstance } from 'fastify'
import type { Context } from '../context.ts'

/** The whole ledger, a line an entry, for another program to re-compute. */
export function exportRoutes(app: FastifyInstance, { ledger, facility, allow, note }: Context): void {
  app.get('/api/export/facts.ndjson', async (request, reply) => {
    const who = await allow(request, 'export')
    await note(request, who, 'export facts')
    reply
      .header('content-type', 'application/x-ndjson')
      .header('content-disposition', 'attachment; filename="facts.ndjson"')
    return reply.send(Readable.from(lines(ledger.entries(facility))))
  })
}

async function* lines(entries: AsyncIterable<object>): AsyncGenerator<string> {
  for await (const entry of entries) yield `${JSON.stringify(entry)}\n`
}
