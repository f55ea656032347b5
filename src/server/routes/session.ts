import type { FastifyInstance } from 'fastify'
import type { ZodTypeProvider } from 'fastify-type-provider-zod'
import { ChangePassword, Me, SetPin, SignIn, Unlock } from '../../api/schemas.ts'
import type { Context } from '../context.ts'
import { pinProblem, requireGoodPassword } from '../passwords.ts'
import type { SignInOutcome } from '../people.ts'
import { Problem } from '../problem.ts'

/** Tries from one address, whatever the names: a list of names must not be gone through one by one. Design rule. */
const TRIES_PER_ADDRESS = { max: 60, timeWindow: 5 * 60_000 }

/** How long after a sign-in a PIN may be chosen without the password, which not everybody has [ms]. Design rule. */
const FRESH_MS = 5 * 60_000

/** Signing in and out, locking and unlocking. */
export function sessionRoutes(
  scope: FastifyInstance,
  { people, facility, allow, note, nowMs, lockAfterMinutes }: Context,
): void {
  const app = scope.withTypeProvider<ZodTypeProvider>()

  app.post(
    '/api/sign-in',
    { schema: { body: SignIn }, config: { rateLimit: TRIES_PER_ADDRESS } },
    async (request, reply) => {
      const username = request.body.username.trim().toLowerCase()
      const outcome = await people.signIn(facility, username, request.body.password)
      if (outcome.kind !== 'in') {
        // What was typed may be a password in the wrong field: only a name that exists is written down.
        const known = await people.find(facility, username)
        await note(request, { personId: known?.personId ?? 'nobody' }, 'sign-in refused', outcome.kind)
        if (outcome.kind === 'wait') reply.header('retry-after', Math.ceil(outcome.ms / 1000))
        throw refusedSignIn(outcome)
      }
      await note(request, outcome.who, 'signed in')
      // The session that this browser had before ends with the new one.
      await people.signOut(request.headers.cookie ?? '')
      return reply.header('set-cookie', [...outcome.cookies]).send({ ok: true })
    },
  )

  app.post('/api/sign-out', async (request, reply) => {
    const cookies = await people.signOut(request.headers.cookie ?? '')
    return reply.header('set-cookie', [...cookies]).send({ ok: true })
  })

  app.get('/api/me', { schema: { response: { 200: Me } } }, async (request) => {
    const { personId, name, role, pinSet, locked, begunAtMs } = await allow(request, null, {
      evenLocked: true,
    })
    const serverNow = new Date(nowMs()).toISOString()
    const minutes = await lockAfterMinutes()
    const signedInAt = new Date(begunAtMs).toISOString()
    return {
      personId,
      name,
      role,
      facility,
      pinSet,
      locked,
      lockAfterMinutes: minutes,
      serverNow,
      signedInAt,
    }
  })

  app.post('/api/lock', async (request) => {
    await people.lock(await allow(request, null, { evenLocked: true }))
    return { ok: true }
  })

  app.post('/api/unlock', { schema: { body: Unlock } }, async (request) => {
    const who = await allow(request, null, { evenLocked: true })
    const outcome = await people.unlock(who, request.body.pin)
    if (outcome === 'unlocked') return { ok: true }
    await note(request, who, 'unlock refused', outcome)
    throw new Problem(403, outcome === 'wrong' ? 'wrong-pin' : 'use-password', {
      what: outcome === 'wrong' ? 'That is not your PIN.' : 'The PIN does not unlock any more.',
      kept: 'What was open stays open.',
      todo: outcome === 'wrong' ? 'Try again.' : 'Use your password.',
    })
  })

  app.post('/api/pin', { schema: { body: SetPin } }, async (request) => {
    const who = await allow(request, null)
    const { password } = request.body
    const isFresh = nowMs() - who.begunAtMs < FRESH_MS
    if (password === undefined ? !isFresh : !(await people.passwordIs(who, password))) throw notYourPassword()
    const problem = pinProblem(request.body.pin)
    if (problem !== null) throw new Problem(400, 'weak-pin', { what: problem, todo: 'Choose another PIN.' })
    await people.setPin(who, request.body.pin)
    return { ok: true }
  })

  app.post('/api/password', { schema: { body: ChangePassword } }, async (request) => {
    const who = await allow(request, null)
    const { password, newPassword } = request.body
    requireGoodPassword(newPassword, [who.personId, facility])
    if (!(await people.passwordIs(who, password))) throw notYourPassword()
    await people.setPassword(facility, who.personId, newPassword)
    await note(request, who, 'change password')
    return { ok: true }
  })
}

const notYourPassword = () =>
  new Problem(403, 'wrong', { what: 'That is not your password.', todo: 'Wait a moment and try again.' })

function refusedSignIn(outcome: Exclude<SignInOutcome, { kind: 'in' }>): Problem {
  switch (outcome.kind) {
    case 'wrong':
      return new Problem(401, 'wrong', {
        what: 'Name and password do not agree.',
        todo: 'Try again, or ask the administrator.',
      })
    case 'wait':
      return new Problem(429, 'too-often', {
        what: 'There were too many wrong passwords in a row.',
        todo: `Wait ${Math.ceil(outcome.ms / 1000)} s and try again.`,
      })
    case 'stopped':
      return new Problem(403, 'stopped', {
        what: 'There were far too many wrong passwords in a row.',
        todo: 'Ask the administrator for a new password.',
      })
  }
}
