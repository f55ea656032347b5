import { type BetterAuthOptions, betterAuth } from 'better-auth'
import { getMigrations } from 'better-auth/db/migration'
import { username } from 'better-auth/plugins/username'
import type { Role } from '../chart/fact.ts'
import type { OpenDatabase } from '../store/database.ts'
import { hashSecret, PASSWORD_LENGTH, secretMatches } from './passwords.ts'

/** Somebody signed in. */
export type SignedIn = {
  readonly sessionId: string
  readonly personId: string
  readonly name: string
  readonly role: Role
  readonly facility: string
  readonly pinSet: boolean
  readonly locked: boolean
}

export type PeopleConfig = {
  readonly secret: string
  /** Where the server is reached, for cookies: with https they are sent over TLS only. */
  readonly baseUrl: string
  readonly idleMinutes: number
  readonly longestHours: number
}

/** Wrong PINs in a row after which only the password unlocks. Common practice, no source. */
const PIN_TRIES = 5

function options(open: OpenDatabase, { secret, baseUrl, longestHours }: PeopleConfig) {
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
      defaultCookieAttributes: { sameSite: 'strict', httpOnly: true },
      useSecureCookies: baseUrl.startsWith('https'),
    },
    plugins: [username({ maxUsernameLength: 80 })],
    telemetry: { enabled: false },
    logger: { disabled: true },
  } satisfies BetterAuthOptions
}

/** Sign-in, sessions, locks and PINs. Passwords and sessions are the library's; roles and locks are ours. */
export class People {
  readonly #open: OpenDatabase
  readonly #config: PeopleConfig
  readonly #auth: ReturnType<typeof betterAuth<ReturnType<typeof options>>>
  readonly #nowMs: () => number

  private constructor(open: OpenDatabase, config: PeopleConfig, nowMs: () => number) {
    this.#open = open
    this.#config = config
    this.#nowMs = nowMs
    this.#auth = betterAuth(options(open, config))
  }

  /** Brings the library's own tables up to date and opens. */
  static async open(open: OpenDatabase, config: PeopleConfig, nowMs: () => number): Promise<People> {
    const { runMigrations } = await getMigrations(options(open, config))
    await runMigrations()
    return new People(open, config, nowMs)
  }

  /** Adds somebody who may sign in. The password is checked by whoever calls (see passwordProblem). */
  async add(person: {
    facility: string
    personId: string
    name: string
    role: Role
    password: string
  }): Promise<void> {
    const { user } = await this.#auth.api.signUpEmail({
      body: {
        email: `${person.personId}@${person.facility}.invalid`,
        name: person.name,
        password: person.password,
        username: person.personId,
      },
    })
    await this.#open.db
      .insertInto('person')
      .values({
        facility: person.facility,
        person_id: person.personId,
        user_id: user.id,
        name: person.name,
        role: person.role,
        active: 1,
        pin_hash: null,
        pin_tries: 0,
      })
      .execute()
  }

  async list(facility: string): Promise<{ personId: string; name: string; role: string; active: boolean }[]> {
    const rows = await this.#open.db
      .selectFrom('person')
      .selectAll()
      .where('facility', '=', facility)
      .orderBy('name')
      .execute()
    return rows.map(({ person_id, name, role, active }) => ({
      personId: person_id,
      name,
      role,
      active: active === 1,
    }))
  }

  /** Signs somebody out everywhere and lets them in no more, or lets them in again. */
  async setActive(facility: string, personId: string, active: boolean): Promise<boolean> {
    const row = await this.#open.db
      .updateTable('person')
      .set({ active: active ? 1 : 0 })
      .where('facility', '=', facility)
      .where('person_id', '=', personId)
      .returning('user_id')
      .executeTakeFirst()
    return row !== undefined
  }

  /** The cookies of a new session, or null when name and password do not agree or the person is not active. */
  async signIn(name: string, password: string): Promise<readonly string[] | null> {
    try {
      const { headers } = await this.#auth.api.signInUsername({
        body: { username: name, password },
        returnHeaders: true,
      })
      const cookies = headers.getSetCookie()
      const signedIn = await this.who(cookies.map((cookie) => cookie.split(';')[0]).join('; '))
      return signedIn ? cookies : null
    } catch (error) {
      if (isRefusal(error)) return null
      throw error
    }
  }

  async signOut(cookie: string): Promise<readonly string[]> {
    const { headers } = await this.#auth.api.signOut({
      headers: new Headers({ cookie }),
      returnHeaders: true,
    })
    return headers.getSetCookie()
  }

  /** Who a cookie belongs to; null for nobody, for a session idle too long, and for a person no longer active. */
  async who(cookie: string): Promise<SignedIn | null> {
    const found = await this.#auth.api.getSession({ headers: new Headers({ cookie }) })
    if (!found) return null
    const { db } = this.#open
    const person = await db
      .selectFrom('person')
      .selectAll()
      .where('user_id', '=', found.user.id)
      .executeTakeFirst()
    if (person?.active !== 1) return null
    const sitting = await this.#sitting(found.session.id)
    if (sitting === null) return null
    return {
      sessionId: found.session.id,
      personId: person.person_id,
      name: person.name,
      role: person.role as Role,
      facility: person.facility,
      pinSet: person.pin_hash !== null,
      locked: sitting.locked === 1,
    }
  }

  /** Marks the session as used now; null when it was idle too long. */
  async #sitting(sessionId: string): Promise<{ locked: number } | null> {
    const { db } = this.#open
    const now = new Date(this.#nowMs()).toISOString()
    const row = await db
      .selectFrom('sitting')
      .selectAll()
      .where('session_id', '=', sessionId)
      .executeTakeFirst()
    if (!row) {
      await db
        .insertInto('sitting')
        .values({ session_id: sessionId, locked: 0, begun_at: now, used_at: now })
        .onConflict((conflict) => conflict.column('session_id').doNothing())
        .execute()
      return { locked: 0 }
    }
    const idleMs = this.#nowMs() - Date.parse(row.used_at)
    if (idleMs > this.#config.idleMinutes * 60_000) return null
    // Once a minute is enough: reading must not write each time.
    if (idleMs > 60_000)
      await db.updateTable('sitting').set({ used_at: now }).where('session_id', '=', sessionId).execute()
    return row
  }

  async lock(sessionId: string, locked: boolean): Promise<void> {
    await this.#open.db
      .updateTable('sitting')
      .set({ locked: locked ? 1 : 0 })
      .where('session_id', '=', sessionId)
      .execute()
  }

  /** Unlocks by PIN. After a few wrong ones in a row only the password does. */
  async unlock(who: SignedIn, pin: string): Promise<'unlocked' | 'wrong' | 'use password'> {
    const person = await this.#person(who)
    if (person.pin_hash === null || person.pin_tries >= PIN_TRIES) return 'use password'
    const right = await secretMatches(person.pin_hash, pin)
    await this.#setPerson(who, { pin_tries: right ? 0 : person.pin_tries + 1 })
    if (!right) return person.pin_tries + 1 >= PIN_TRIES ? 'use password' : 'wrong'
    await this.lock(who.sessionId, false)
    return 'unlocked'
  }

  /** Is this the password of the person? */
  async passwordIs(who: SignedIn, password: string): Promise<boolean> {
    const person = await this.#person(who)
    const context = await this.#auth.$context
    const accounts = await context.internalAdapter.findAccounts(person.user_id)
    const stored = accounts.find(({ providerId }) => providerId === 'credential')?.password
    return typeof stored === 'string' && secretMatches(stored, password)
  }

  async setPin(who: SignedIn, pin: string): Promise<void> {
    await this.#setPerson(who, { pin_hash: await hashSecret(pin), pin_tries: 0 })
  }

  #person({ facility, personId }: SignedIn) {
    return this.#open.db
      .selectFrom('person')
      .selectAll()
      .where('facility', '=', facility)
      .where('person_id', '=', personId)
      .executeTakeFirstOrThrow()
  }

  async #setPerson(
    { facility, personId }: SignedIn,
    change: { pin_hash?: string; pin_tries: number },
  ): Promise<void> {
    await this.#open.db
      .updateTable('person')
      .set(change)
      .where('facility', '=', facility)
      .where('person_id', '=', personId)
      .execute()
  }
}

/** The library throws for a wrong name or password; anything else is a fault of ours. */
function isRefusal(error: unknown): boolean {
  return (
    typeof error === 'object' && error !== null && 'statusCode' in error && Number(error.statusCode) < 500
  )
}
