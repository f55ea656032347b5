import type { FastifyInstance } from 'fastify'
import type { ZodTypeProvider } from 'fastify-type-provider-zod'
import { Upload, UploadAnswer, Verified } from '../../api/schemas.ts'
import type { FactEnvelope } from '../../chart/fact.ts'
import { verifyLedger } from '../../store/verify.ts'
import type { Context } from '../context.ts'
import type { SignedIn } from '../people.ts'
import { isLocked } from '../problem.ts'
import { problemsOf } from '../upload-check.ts'
import { hear } from './with-tablets.ts'

type Result = UploadAnswer['results'][number]

/** What a lock and the facts before it may have been apart on their way here [ms]. Design rule. */
const ON_ITS_WAY_MS = 5000

/** Facts that tablets send, and whether the ledger that they went into is whole. */
export function factRoutes(scope: FastifyInstance, context: Context): void {
  const { ledger, facility, people, record, allow, nowMs } = context
  const app = scope.withTypeProvider<ZodTypeProvider>()

  app.post('/api/facts', { schema: { body: Upload, response: { 200: UploadAnswer } } }, async (request) => {
    // A locked tablet goes on sending what was written before it was locked.
    const who = await allow(request, null, { evenLocked: true })
    const { facts, sentAt } = request.body
    const receivedMs = nowMs()
    const receivedAt = new Date(receivedMs).toISOString()
    const deviceAheadMs = Date.parse(sentAt) - receivedMs
    if (facts.some((fact) => isAfterLock(fact, who, deviceAheadMs))) throw isLocked()
    const against = { who, record, people }
    const checked = await Promise.all(
      facts.map(async (fact) => ({ fact, problems: await problemsOf(fact, against) })),
    )
    const good = checked.filter(({ problems }) => problems.length === 0).map(({ fact }) => fact)
    const appended =
      good.length === 0 ? [] : await ledger.append(facility, { facts: good, receivedAt, deviceAheadMs })
    // Of facts that passed, one answer each in the order given: the same id twice gets two.
    const answers = appended.values()
    const results = checked.map(({ fact, problems }): Result => {
      if (problems.length > 0) return { id: fact.id, status: 'refused', problems }
      const stored = answers.next().value
      if (!stored) throw new Error('the ledger gave fewer answers than it was given facts')
      if (stored.status !== 'refused') return stored
      return { id: fact.id, status: 'refused', problems: [{ where: 'id', what: stored.why }] }
    })
    await hear(context, who, request.body)
    return { serverNow: receivedAt, results }
  })

  app.get('/api/verify', { schema: { response: { 200: Verified } } }, async (request) => {
    await allow(request, 'verify ledger')
    return verifyLedger(ledger, facility)
  })
}

/** Was this written, by the server's clock, after the screen was locked? Then somebody else may have written it. */
function isAfterLock(fact: FactEnvelope, { lockedAtMs }: SignedIn, deviceAheadMs: number): boolean {
  if (lockedAtMs === null) return false
  return Date.parse(fact.recordedAt) - deviceAheadMs > lockedAtMs + ON_ITS_WAY_MS
}
