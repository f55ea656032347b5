import type { FastifyInstance } from 'fastify'
import type { ZodTypeProvider } from 'fastify-type-provider-zod'
import { Me, SetPin, SignIn, Unlock } from '../../api/schemas.ts'
import type { Context } from '../build-server.ts'
import { pinProblem } from '../passwords.ts'
import { Problem } from '../problem.ts'

/** Signing in and out, locking and unlocking. */
export function sessionRoutes(
  scope: FastifyInstance,
  { people, allow, nowMs, lockAfterMinutes }: Context,
): void {
  const app = scope.withTypeProvider<ZodTypeProvider>()

  app.post(
    '/api/sign-in',
    {
      schema: { body: SignIn },
      config: {
        // Slows guessing at one name from anywhere, well below the 100 tries that NIST SP 800-63B-4, 3.2.2 allows.
        rateLimit: {
          max: 20,
          timeWindow: 5 * 60_000,
          hook: 'preHandler',
          keyGenerator: ({ body }) => nameIn(body),
        },
      },
    },
    async (request, reply) => {
      const { username, password } = request.body
      const cookies = await people.signIn(username.trim().toLowerCase(), password)
      if (cookies === null) {
        throw new Problem(401, 'wrong', {
          what: 'Name and password do not agree.',
          todo: 'Try again, or ask the administrator.',
        })
      }
      return reply.header('set-cookie', [...cookies]).send({ ok: true })
    },
  )

  app.post('/api/sign-out', async (request, reply) => {
    const cookies = await people.signOut(request.headers.cookie ?? '')
    return reply.header('set-cookie', [...cookies]).send({ ok: true })
  })

  app.get('/api/me', { schema: { response: { 200: Me } } }, async (request) => {
    const { personId, name, role, facility, pinSet, locked } = await allow(request, null, {
      evenLocked: true,
    })
    return {
      personId,
      name,
      role,
      facility,
      pinSet,
      locked,
      lockAfterMinutes,
      serverNow: new Date(nowMs()).toISOString(),
    }
  })

  app.post('/api/lock', async (request) => {
    const who = await allow(request, null, { evenLocked: true })
    await people.lock(who.sessionId, true)
    return { ok: true }
  })

  app.post('/api/unlock', { schema: { body: Unlock } }, async (request) => {
    const who = await allow(request, null, { evenLocked: true })
    const outcome = await people.unlock(who, request.body.pin)
    if (outcome === 'unlocked') return { ok: true }
    throw new Problem(403, outcome === 'wrong' ? 'wrong-pin' : 'use-password', {
      what: outcome === 'wrong' ? 'That is not your PIN.' : 'The PIN does not unlock any more.',
      kept: 'What was open stays open.',
      todo: outcome === 'wrong' ? 'Try again.' : 'Use your password.',
    })
  })

  app.post('/api/pin', { schema: { body: SetPin } }, async (request) => {
    const who = await allow(request, null)
    if (!(await people.passwordIs(who, request.body.password))) {
      throw new Problem(403, 'wrong', { what: 'That is not your password.', todo: 'Try again.' })
    }
    const problem = pinProblem(request.body.pin)
    if (problem !== null) throw new Problem(400, 'weak-pin', { what: problem, todo: 'Choose another PIN.' })
    await people.setPin(who, request.body.pin)
    return { ok: true }
  })
}

function nameIn(body: unknown): string {
  return typeof body === 'object' && body !== null && 'username' in body
    ? String(body.username).toLowerCase()
    : ''
}
