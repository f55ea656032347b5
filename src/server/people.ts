import { hkdfSync } from 'node:crypto'
import type { Role } from '../chart/fact.ts'
import type { OpenDatabase } from '../store/database.ts'
import type { PersonRow } from '../store/schema.ts'
import type { HospitalIdentity } from './hospital-provider.ts'
import { hashSecret, secretMatches } from './passwords.ts'
import {
  isRefusal,
  libraryName,
  type PeopleConfig,
  type SignInLibrary,
  signInLibrary,
} from './sign-in-library.ts'
import { type Sitting, Sittings } from './sittings.ts'
import { countPasswordTry, countPinTry, forgetPinTries, forgetTries, PIN_TRIES, waitNow } from './tries.ts'

/** Somebody signed in. */
export type SignedIn = {
  readonly sessionId: string
  readonly personId: string
  readonly name: string
  readonly role: Role
  readonly facility: string
  readonly pinSet: boolean
  readonly locked: boolean
  /** Since when the screen is locked [ms since 1970]; null while it is not. */
  readonly lockedAtMs: number | null
  /** When this session began [ms since 1970]. */
  readonly begunAtMs: number
}

/** What became of a sign-in. `wait`: too many wrong tries; the next is looked at then. `stopped`: none is any more. */
export type SignInOutcome =
  | { readonly kind: 'in'; readonly who: SignedIn; readonly cookies: readonly string[] }
  | { readonly kind: 'wrong' | 'stopped' }
  | { readonly kind: 'wait'; readonly ms: number }

/**
 * What became of a sign-in that the hospital vouches for. `unknown`: nobody here has this name; `another`: the name
 * belonged to another identity of the hospital before.
 */
export type VouchedOutcome =
  | { readonly kind: 'in'; readonly who: SignedIn; readonly cookies: readonly string[] }
  | { readonly kind: 'unknown' | 'another' }

type Listed = { personId: string; name: string; role: string; active: boolean }

/** Sign-in, sessions, locks and PINs. Passwords and sessions are the library's; roles and locks are ours. */
export class People {
  readonly #open: OpenDatabase
  readonly #library: SignInLibrary
  readonly #sittings: Sittings
  readonly #secret: string
  readonly #nowMs: () => number

  private constructor(open: OpenDatabase, config: PeopleConfig, nowMs: () => number) {
    this.#open = open
    this.#nowMs = nowMs
    this.#secret = config.secret
    this.#library = signInLibrary(open, config)
    this.#sittings = new Sittings(open, config, nowMs)
  }

  /** Opens on a database that is up to date (see migrate). */
  static async open(open: OpenDatabase, config: PeopleConfig, nowMs: () => number): Promise<People> {
    const people = new People(open, config, nowMs)
    await people.#library.$context
    return people
  }

  /** A secret for one use [32 bytes, base64url], the same for as long as the server's own is (HKDF, RFC 5869). */
  secretFor(use: readonly string[]): string {
    const derived = hkdfSync('sha256', this.#secret, '', JSON.stringify(use), 32)
    return Buffer.from(derived).toString('base64url')
  }

  /** Adds somebody who may sign in. The password is checked by whoever calls (see passwordProblem). */
  async add(person: {
    facility: string
    personId: string
    name: string
    role: Role
    password: string
  }): Promise<void> {
    const { facility, personId, name, role, password } = person
    const email = `${personId}@${facility.toLowerCase().replace(/[^a-z0-9-]/g, '-')}.invalid`
    const { user } = await this.#library.api.signUpEmail({
      body: { email, name, password, username: libraryName(facility, personId) },
    })
    const row = { facility, person_id: personId, user_id: user.id, name, role, active: 1 }
    const tries = { pin_hash: null, pin_tries: 0, password_tries: 0, password_tried_at: null }
    try {
      await this.#open.db
        .insertInto('person')
        .values({ ...row, ...tries })
        .execute()
    } catch (error) {
      // A user without a person could never sign in, and would keep the name from being given again.
      await (await this.#library.$context).internalAdapter.deleteUser(user.id)
      throw error
    }
  }

  /** Where people are kept; the tablets that they work on lie beside them. */
  get db(): OpenDatabase['db'] {
    return this.#open.db
  }

  /** Ends every session of somebody, wherever it is; false when there is nobody of this name. */
  async endSessions(facility: string, personId: string): Promise<boolean> {
    const row = await this.#row(facility, personId)
    if (row) await this.#sittings.endAll(row.user_id)
    return row !== undefined
  }

  async list(facility: string): Promise<Listed[]> {
    const rows = await this.#open.db
      .selectFrom('person')
      .selectAll()
      .where('facility', '=', facility)
      .orderBy('name')
      .execute()
    return rows.map(listed)
  }

  /** Somebody who may, or might once, sign in; null when there is nobody of this name. */
  async find(facility: string, personId: string): Promise<Listed | null> {
    const row = await this.#row(facility, personId)
    return row ? listed(row) : null
  }

  /** Signs somebody out everywhere and lets them in no more, or lets them in again. */
  async setActive(facility: string, personId: string, active: boolean): Promise<boolean> {
    const row = await this.#row(facility, personId)
    if (!row) return false
    await this.#set(row, { active: active ? 1 : 0 })
    if (!active) await this.#sittings.endAll(row.user_id)
    return true
  }

  /** Gives somebody a new password, ends their sessions and forgets wrong tries; false when there is nobody of this name. */
  async setPassword(facility: string, personId: string, password: string): Promise<boolean> {
    const row = await this.#row(facility, personId)
    if (!row) return false
    const { internalAdapter } = await this.#library.$context
    await internalAdapter.updatePassword(row.user_id, await hashSecret(password))
    await this.#sittings.endAll(row.user_id)
    await forgetTries(this.#open.db, { facility, personId })
    return true
  }

  /** Signs in with name and password; a session of its own, and never one for somebody who is not active. */
  async signIn(facility: string, personId: string, password: string): Promise<SignInOutcome> {
    const row = await this.#row(facility, personId)
    const wait = row ? waitNow(row, this.#nowMs()) : 0
    if (wait === null) return { kind: 'stopped' }
    if (wait > 0) return { kind: 'wait', ms: wait }
    if (row) await countPasswordTry(this.#open.db, { facility, personId }, this.#now())
    const cookies = await this.#tryPassword(facility, personId, password)
    if (cookies === null || !row) return { kind: 'wrong' }
    await forgetTries(this.#open.db, { facility, personId })
    const who = await this.#begin(row, cookies)
    return who ? { kind: 'in', cookies, who } : { kind: 'wrong' }
  }

  /**
   * Signs in somebody whom the hospital vouches for. The first time, the name that it gives says which of the
   * department's people it is; from then on its own lasting subject does, so that a name given anew to somebody
   * else in the hospital opens nothing here.
   */
  async signInVouched(facility: string, identity: HospitalIdentity): Promise<VouchedOutcome> {
    const row = await this.#row(facility, identity.personId)
    if (row?.active !== 1) return { kind: 'unknown' }
    const { internalAdapter } = await this.#library.$context
    const key = { providerId: identity.issuer, accountId: identity.subject }
    const linked = await internalAdapter.findAccounts(row.user_id)
    const before = linked.find(({ providerId }) => providerId === key.providerId)
    if (before && before.accountId !== key.accountId) return { kind: 'another' }
    if (!before) {
      if (await internalAdapter.findAccountByKey(key)) return { kind: 'another' }
      await internalAdapter.createAccount({ ...key, userId: row.user_id })
    }
    const { headers } = await this.#library.api.beginVouchedSession({
      body: { userId: row.user_id },
      returnHeaders: true,
    })
    const cookies = headers.getSetCookie()
    const who = await this.#begin(row, cookies)
    return who ? { kind: 'in', cookies, who } : { kind: 'unknown' }
  }

  /** Begins the sitting of a session just made; null, and no session, for somebody who is not active. */
  async #begin(row: PersonRow, cookies: readonly string[]): Promise<SignedIn | null> {
    const session = await this.#session(cookies.map((cookie) => cookie.split(';')[0]).join('; '))
    if (!session) throw new Error('a session that was just made was not found')
    if (row.active !== 1) {
      await this.#sittings.end(session.sessionId)
      return null
    }
    const begunAtMs = await this.#sittings.begin(row.facility, session.sessionId)
    return signedIn(row, session.sessionId, { begunAtMs, lockedAtMs: null })
  }

  async #tryPassword(facility: string, personId: string, password: string): Promise<string[] | null> {
    try {
      const { headers } = await this.#library.api.signInUsername({
        body: { username: libraryName(facility, personId), password },
        returnHeaders: true,
      })
      return headers.getSetCookie()
    } catch (error) {
      if (isRefusal(error)) return null
      throw error
    }
  }

  /** Ends the session of a cookie, if it has one, and gives the cookies that make a browser forget it. */
  async signOut(cookie: string): Promise<readonly string[]> {
    const session = await this.#session(cookie)
    const { headers } = await this.#library.api.signOut({
      headers: new Headers({ cookie }),
      returnHeaders: true,
    })
    if (session) await this.#sittings.end(session.sessionId)
    return headers.getSetCookie()
  }

  /** Who a cookie belongs to; null for nobody, for a session that has ended, and for a person no longer active. */
  async who(cookie: string): Promise<SignedIn | null> {
    const session = await this.#session(cookie)
    if (!session) return null
    const row = await this.#open.db
      .selectFrom('person')
      .selectAll()
      .where('user_id', '=', session.userId)
      .executeTakeFirst()
    if (row?.active !== 1) return null
    const sitting = await this.#sittings.at(row.facility, session.sessionId)
    if (sitting !== null) return signedIn(row, session.sessionId, sitting)
    await this.#sittings.end(session.sessionId)
    return null
  }

  async #session(cookie: string): Promise<{ sessionId: string; userId: string } | null> {
    if (cookie === '') return null
    const found = await this.#library.api.getSession({ headers: new Headers({ cookie }) })
    return found ? { sessionId: found.session.id, userId: found.user.id } : null
  }

  async lock({ sessionId }: SignedIn): Promise<void> {
    await this.#sittings.lock(sessionId)
  }

  /** Unlocks by PIN. After a few wrong ones in a row only the password does, by a new sign-in. */
  async unlock(who: SignedIn, pin: string): Promise<'unlocked' | 'wrong' | 'use password'> {
    const { db } = this.#open
    const row = await this.#row(who.facility, who.personId)
    if (!row || row.pin_hash === null || !(await countPinTry(db, who))) return 'use password'
    if (!(await secretMatches(row.pin_hash, pin))) {
      const after = await this.#row(who.facility, who.personId)
      return (after?.pin_tries ?? PIN_TRIES) >= PIN_TRIES ? 'use password' : 'wrong'
    }
    await forgetPinTries(db, who)
    await this.#sittings.unlock(who.sessionId)
    return 'unlocked'
  }

  /** Is this the password of the person? A wrong one counts like a wrong one at sign-in. */
  async passwordIs(who: SignedIn, password: string): Promise<boolean> {
    const row = await this.#row(who.facility, who.personId)
    if (!row || waitNow(row, this.#nowMs()) !== 0) return false
    await countPasswordTry(this.#open.db, who, this.#now())
    const { internalAdapter } = await this.#library.$context
    const accounts = await internalAdapter.findAccounts(row.user_id)
    const stored = accounts.find(({ providerId }) => providerId === 'credential')?.password
    const right = typeof stored === 'string' && (await secretMatches(stored, password))
    if (right) await forgetTries(this.#open.db, who)
    return right
  }

  async setPin(who: SignedIn, pin: string): Promise<void> {
    await this.#set(
      { facility: who.facility, person_id: who.personId },
      { pin_hash: await hashSecret(pin), pin_tries: 0 },
    )
  }

  #now(): string {
    return new Date(this.#nowMs()).toISOString()
  }

  #row(facility: string, personId: string): Promise<PersonRow | undefined> {
    return this.#open.db
      .selectFrom('person')
      .selectAll()
      .where('facility', '=', facility)
      .where('person_id', '=', personId)
      .executeTakeFirst()
  }

  async #set(key: Pick<PersonRow, 'facility' | 'person_id'>, change: Partial<PersonRow>): Promise<void> {
    await this.#open.db
      .updateTable('person')
      .set(change)
      .where('facility', '=', key.facility)
      .where('person_id', '=', key.person_id)
      .execute()
  }
}

function listed({ person_id, name, role, active }: PersonRow): Listed {
  return { personId: person_id, name, role, active: active === 1 }
}

function signedIn(row: PersonRow, sessionId: string, { begunAtMs, lockedAtMs }: Sitting): SignedIn {
  return {
    sessionId,
    personId: row.person_id,
    name: row.name,
    role: row.role as Role,
    facility: row.facility,
    pinSet: row.pin_hash !== null,
    locked: lockedAtMs !== null,
    lockedAtMs,
    begunAtMs,
  }
}
