import { type BetterAuthOptions, type BetterAuthPlugin, betterAuth } from 'better-auth'
import { createAuthEndpoint } from 'better-auth/api'
import { setSessionCookie } from 'better-auth/cookies'
import { username } from 'better-auth/plugins/username'
import { z } from 'zod'
import type { OpenDatabase } from '../store/database.ts'
import { hashSecret, PASSWORD_LENGTH, secretMatches } from './passwords.ts'

export type PeopleConfig = {
  readonly secret: string
  /** Where the server is reached, for cookies: with https they are sent over TLS only. */
  readonly baseUrl: string
  readonly idleMinutes: number
  readonly longestHours: number
}

/** A name is the facility and the person, so that two hospitals on one database can both have an amsel. */
export function libraryName(facility: string, personId: string): string {
  return `${facility}/${personId}`
}

/**
 * How the sign-in library is used: users, passwords and sessions are its own; its pages are never served, only its
 * functions called. A cookie is for this site alone, out of reach of scripts, and over TLS bound to this host.
 */
export function libraryOptions(open: OpenDatabase, { secret, baseUrl, longestHours }: PeopleConfig) {
  const secure = baseUrl.startsWith('https:')
  return {
    database: { db: open.db, type: open.kind },
    secret,
    baseURL: baseUrl,
    emailAndPassword: {
      enabled: true,
      autoSignIn: false,
      minPasswordLength: PASSWORD_LENGTH.least,
      maxPasswordLength: PASSWORD_LENGTH.most,
      password: { hash: hashSecret, verify: ({ hash, password }) => secretMatches(hash, password) },
    },
    session: { expiresIn: longestHours * 3600, disableSessionRefresh: true },
    advanced: {
      useSecureCookies: false,
      cookies: {
        session_token: {
          name: secure ? '__Host-mistwright' : 'mistwright',
          attributes: { sameSite: 'strict', httpOnly: true, path: '/', secure },
        },
      },
    },
    plugins: [
      vouchedSessions(),
      username({
        displayUsername: false,
        maxUsernameLength: 161,
        usernameValidator: (name) => name.includes('/'),
      }),
    ],
    telemetry: { enabled: false },
    logger: { disabled: true },
  } satisfies BetterAuthOptions
}

/** Begins a session for somebody whom the hospital's own sign-in vouches for. Called as a function, never served. */
function vouchedSessions() {
  return {
    id: 'vouched-sessions',
    endpoints: {
      beginVouchedSession: createAuthEndpoint(
        '/vouched-session',
        { method: 'POST', body: z.object({ userId: z.string() }), metadata: { SERVER_ONLY: true } },
        async (call) => {
          const { internalAdapter } = call.context
          const user = await internalAdapter.findUserById(call.body.userId)
          if (!user) throw new Error('there is no such user')
          const session = await internalAdapter.createSession(user.id)
          await setSessionCookie(call, { session, user })
          return call.json({ ok: true })
        },
      ),
    },
  } satisfies BetterAuthPlugin
}

export type SignInLibrary = ReturnType<typeof betterAuth<ReturnType<typeof libraryOptions>>>

export function signInLibrary(open: OpenDatabase, config: PeopleConfig): SignInLibrary {
  return betterAuth(libraryOptions(open, config))
}

/** The library throws for a wrong name or password; anything else is a fault of ours. */
export function isRefusal(error: unknown): boolean {
  return (
    typeof error === 'object' && error !== null && 'statusCode' in error && Number(error.statusCode) < 500
  )
}
