import type { ServerResponse } from 'node:http'
import type { FastifyInstance } from 'fastify'
import type { Context } from '../context.ts'

/** How often a live line is kept awake, so that what stands between does not cut it, and its session is looked at [ms]. */
const HEARTBEAT_MS = 25_000

/** Word that there are new facts, as server-sent events; what is in them is asked for by the app. */
export function liveRoutes(app: FastifyInstance, { ledger, facility, allow, people }: Context): void {
  const lines = new Set<() => void>()
  // An open line would keep the server from closing.
  app.addHook('preClose', async () => {
    for (const end of lines) end()
  })

  app.get('/api/live', async (request, reply) => {
    await allow(request, 'read chart', { evenLocked: true })
    const last = await ledger.last(facility)
    reply.hijack()
    const { raw } = reply
    raw.writeHead(200, {
      ...(reply.getHeaders() as Record<string, string>),
      'content-type': 'text/event-stream',
      'cache-control': 'no-store',
      'x-accel-buffering': 'no',
    })
    const stop = ledger.onGrowth((grown, reached) => grown === facility && tell(raw, reached))
    const heartbeat = setInterval(() => void beat(), HEARTBEAT_MS)
    const end = () => {
      clearInterval(heartbeat)
      stop()
      lines.delete(end)
      raw.end()
    }
    // A line outlives no session: somebody who signed out, or is let in no more, hears nothing.
    const beat = async () => {
      const still = await people.who(request.headers.cookie ?? '').catch(() => null)
      if (still === null) end()
      else raw.write(': here\n\n')
    }
    lines.add(end)
    raw.on('close', end)
    tell(raw, last)
  })
}

function tell(raw: ServerResponse, last: number): void {
  raw.write(`event: ledger\ndata: ${JSON.stringify({ last })}\n\n`)
}
