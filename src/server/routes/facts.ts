import type { FastifyInstance } from 'fastify'
import type { ZodTypeProvider } from 'fastify-type-provider-zod'
import { Download, DownloadQuery, Upload, UploadAnswer, Verified } from '../../api/schemas.ts'
import { isDocumentName, readDocument } from '../../chart/documents/documents.ts'
import type { FactEnvelope } from '../../chart/fact.ts'
import { mayWrite } from '../../chart/permissions.ts'
import { readFact } from '../../chart/registry.ts'
import { verifyLedger } from '../../store/verify.ts'
import type { Context } from '../build-server.ts'
import type { SignedIn } from '../people.ts'

type Result = UploadAnswer['results'][number]
/** How often a live line is kept awake, so that what stands between does not cut it [ms]. */
const HEARTBEAT_MS = 25_000

/** Facts up, facts down, and word that there are new ones. */
export function factRoutes(scope: FastifyInstance, { ledger, facility, allow, note, nowMs }: Context): void {
  const app = scope.withTypeProvider<ZodTypeProvider>()

  app.post('/api/facts', { schema: { body: Upload, response: { 200: UploadAnswer } } }, async (request) => {
    // A locked tablet goes on sending what was written before it was locked.
    const who = await allow(request, null, { evenLocked: true })
    const { facts, sentAt } = request.body
    const receivedAt = new Date(nowMs()).toISOString()
    const checked = facts.map((fact) => ({ fact, problems: problemsOf(fact, who) }))
    const good = checked.filter(({ problems }) => problems.length === 0).map(({ fact }) => fact)
    const deviceAheadMs = Date.parse(sentAt) - nowMs()
    const appended =
      good.length === 0 ? [] : await ledger.append(facility, { facts: good, receivedAt, deviceAheadMs })
    const byId = new Map(appended.map((each) => [each.id, each]))
    const results = checked.map(({ fact, problems }): Result => {
      const stored = byId.get(fact.id)
      if (problems.length > 0 || !stored) return { id: fact.id, status: 'refused', problems }
      if (stored.status === 'refused')
        return { id: fact.id, status: 'refused', problems: [{ where: 'id', what: stored.why }] }
      return stored
    })
    return { serverNow: receivedAt, results }
  })

  app.get(
    '/api/facts',
    { schema: { querystring: DownloadQuery, response: { 200: Download } } },
    async (request) => {
      const who = await allow(request, 'read chart')
      const { after, limit } = request.query
      const [entries, last] = [await ledger.after(facility, after, limit), await ledger.last(facility)]
      if (entries.length > 0)
        await note(request, who, 'read facts', `${after + 1} to ${entries.at(-1)?.sequence}`)
      return {
        entries: entries.map(({ sequence, receivedAt, deviceAheadMs, text }) => ({
          sequence,
          receivedAt,
          deviceAheadMs,
          fact: JSON.parse(text) as FactEnvelope,
        })),
        last,
        more: (entries.at(-1)?.sequence ?? last) < last,
      }
    },
  )

  app.get('/api/live', async (request, reply) => {
    await allow(request, 'read chart', { evenLocked: true })
    reply.hijack()
    const { raw } = reply
    raw.writeHead(200, {
      'content-type': 'text/event-stream',
      'cache-control': 'no-store',
      'x-accel-buffering': 'no',
    })
    const tell = (last: number) => raw.write(`event: ledger\ndata: ${JSON.stringify({ last })}\n\n`)
    tell(await ledger.last(facility))
    const stop = ledger.onGrowth((grown, last) => grown === facility && tell(last))
    const heartbeat = setInterval(() => raw.write(': here\n\n'), HEARTBEAT_MS)
    const end = () => {
      clearInterval(heartbeat)
      stop()
      raw.end()
    }
    raw.on('close', end)
    app.addHook('preClose', async () => end())
  })

  app.get('/api/verify', { schema: { response: { 200: Verified } } }, async (request) => {
    await allow(request, 'verify ledger')
    return verifyLedger(ledger, facility)
  })
}

/** Why a fact may not be stored: it is not whole, it is not this facility's, it is somebody else's, or not theirs to write. */
function problemsOf(fact: FactEnvelope, who: SignedIn): { where: string; what: string }[] {
  const read = readFact(fact)
  if (!read.ok) return read.problems.map(({ where, what }) => ({ where, what }))
  const problems: { where: string; what: string }[] = []
  if (fact.facility !== who.facility) problems.push({ where: 'facility', what: 'this is not your hospital' })
  if (fact.by.personId !== who.personId || fact.by.role !== who.role) {
    problems.push({ where: 'by', what: 'a fact is signed by whoever is signed in' })
  }
  if (!mayWrite(who.role, fact.kind))
    problems.push({ where: 'kind', what: `a ${who.role} does not write ${fact.kind}` })
  if (read.fact.kind === 'document-adopted')
    problems.push(...documentProblems(read.fact.about.document ?? '', read.fact.body.content))
  return problems
}

function documentProblems(name: string, content: unknown): { where: string; what: string }[] {
  if (!isDocumentName(name)) return [{ where: 'about.document', what: `there is no document ${name}` }]
  const read = readDocument(name, content)
  return read.ok ? [] : read.problems.map(({ where, what }) => ({ where: `body.content.${where}`, what }))
}
