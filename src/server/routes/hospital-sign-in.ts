import type { FastifyInstance, FastifyReply } from 'fastify'
import type { ZodTypeProvider } from 'fastify-type-provider-zod'
import { type SignInRefusal, SignInWays } from '../../api/schemas.ts'
import type { Context } from '../context.ts'
import { type HospitalIdentity, NotVouchedFor, ProviderAway } from '../hospital-provider.ts'

/** Comings and goings from one address. Design rule. */
const PER_ADDRESS = { max: 60, timeWindow: 5 * 60_000 }

/**
 * Signing in with the hospital's own name and password. The browser goes to the hospital's page and comes back; what
 * came of a failure is told to the app behind the # of its address, which no server and no log sees.
 */
export function hospitalSignInRoutes(
  scope: FastifyInstance,
  { people, facility, note, hospital, secure }: Context,
): void {
  const app = scope.withTypeProvider<ZodTypeProvider>()
  const cookieName = secure ? '__Host-mistwright-way' : 'mistwright-way'
  // Lax, not strict: the browser comes back from the hospital's site and must bring it along.
  const marks = `Path=/; HttpOnly; SameSite=Lax${secure ? '; Secure' : ''}`
  const forget = `${cookieName}=; ${marks}; Max-Age=0`

  app.get('/api/sign-in-ways', { schema: { response: { 200: SignInWays } } }, async () => ({
    hospital: hospital === null ? null : { name: hospital.config.name },
  }))

  if (hospital === null) return

  const backToApp = (reply: FastifyReply, why: SignInRefusal) =>
    reply.header('set-cookie', forget).redirect(`/#sign-in=${why}`)

  app.get('/api/hospital-sign-in', { config: { rateLimit: PER_ADDRESS } }, async (request, reply) => {
    try {
      const { address, ticket } = await hospital.begin()
      return reply.header('set-cookie', `${cookieName}=${ticket}; ${marks}; Max-Age=600`).redirect(address)
    } catch (error) {
      if (!(error instanceof ProviderAway)) throw error
      request.log.warn({ why: reasonOf(error) }, 'hospital sign-in away')
      return backToApp(reply, 'away')
    }
  })

  app.get('/api/hospital-sign-in/done', { config: { rateLimit: PER_ADDRESS } }, async (request, reply) => {
    const query = request.url.slice(request.url.indexOf('?'))
    let identity: HospitalIdentity
    try {
      identity = await hospital.finish(query, cookieIn(request.headers.cookie, cookieName))
    } catch (error) {
      const isAway = error instanceof ProviderAway
      if (!isAway && !(error instanceof NotVouchedFor)) throw error
      request.log.warn({ why: reasonOf(error) }, 'hospital sign-in not done')
      await note(request, { personId: 'nobody' }, 'sign-in refused', isAway ? 'away' : 'not vouched for')
      return backToApp(reply, isAway ? 'away' : 'not-vouched-for')
    }
    const outcome = await people.signInVouched(facility, identity)
    if (outcome.kind !== 'in') {
      const known = await people.find(facility, identity.personId)
      await note(request, { personId: known?.personId ?? 'nobody' }, 'sign-in refused', outcome.kind)
      return backToApp(reply, outcome.kind)
    }
    await note(request, outcome.who, 'signed in', 'by the hospital')
    await people.signOut(request.headers.cookie ?? '')
    return reply.header('set-cookie', [...outcome.cookies, forget]).redirect('/')
  })
}

function cookieIn(header: string | undefined, name: string): string {
  const found = (header ?? '').split('; ').find((each) => each.startsWith(`${name}=`))
  return found?.slice(name.length + 1) ?? ''
}

/** The kind and code of what went wrong; never what the provider wrote, which may name somebody. */
function reasonOf({ message, cause }: Error): string {
  if (!(cause instanceof Error)) return message
  return `${message} (${cause.name}${'code' in cause ? ` ${String(cause.code)}` : ''})`
}
