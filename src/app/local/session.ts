import { z } from 'zod'
import { Me, SignInRefusal, SignInWays, TabletSecret } from '../../api/schemas.ts'
import type { Api, Reply } from './api.ts'
import * as device from './device.ts'
import { Keep } from './keep.ts'
import { countWaiting, keepName, removeKeep } from './keep-database.ts'
import { LocalStore } from './local-store.ts'
import { opening } from './opening.ts'
import { canSeal, dropKey, forgetSafe, Safe } from './safe.ts'
import { makeVerifier, Verifier, verifies, waitAfterWrongMs } from './verifier.ts'

export type SessionState =
  | { readonly kind: 'opening' }
  | { readonly kind: 'signed out' }
  | {
      readonly kind: 'in'
      readonly me: Me
      readonly store: LocalStore
      readonly locked: boolean
      /** A PIN should be chosen: none is set, and the password was just given. */
      readonly offerPin: boolean
    }

/** What became of an attempt, in words for the person. */
export type Outcome =
  | { readonly ok: true }
  | { readonly ok: false; readonly what: string; readonly todo: string }

const Anything = z.unknown()
const randomBytes = (length: number) => crypto.getRandomValues(new Uint8Array(length))
const CANNOT_SEAL: Outcome = {
  ok: false,
  what: 'At this address the browser can seal nothing that this tablet keeps.',
  todo: 'Open the app by its https address.',
}
const AWAY: Outcome = {
  ok: false,
  what: 'The server cannot be reached.',
  todo: 'Check the network and try again. Nothing that was entered is lost.',
}

/** Who is signed in on this tablet, and whether the screen is locked. One for the whole app. */
export class Session {
  readonly #api: Api
  readonly #listeners = new Set<() => void>()
  #state: SessionState = { kind: 'opening' }
  #keep: Keep | null = null
  /** Tells the server of an unlocking that happened without it, once it can be reached. */
  #owedUnlock: (() => Promise<Reply<unknown>>) | null = null

  /** Whether the key of this tablet was taken away because the session had ended. */
  #keyDropped = false

  /** The password of this sign-in, only while a PIN is being chosen. */
  #justGiven: string | null = null

  constructor(api: Api) {
    this.#api = api
  }

  readonly state = (): SessionState => this.#state

  readonly subscribe = (listener: () => void): (() => void) => {
    this.#listeners.add(listener)
    return () => this.#listeners.delete(listener)
  }

  /** Finds out who is signed in. */
  async open(): Promise<void> {
    if (device.owesSignOut()) {
      await this.#tellSignOut()
      return this.#set({ kind: 'signed out' })
    }
    const last = device.lastPerson()
    const found = opening(await this.#api.get('/api/me', Me), last, Date.now())
    if (found.kind === 'sign in') {
      if (last) await leave(last.me)
      return this.#set({ kind: 'signed out' })
    }
    await this.#enter(
      found.me,
      found.me.personId,
      found.kind === 'locked',
      found.kind === 'open' && found.offerPin,
    )
  }

  async signIn(username: string, password: string): Promise<Outcome> {
    const reply = await this.#api.post('/api/sign-in', { username, password }, Anything)
    if (reply.kind !== 'ok') return refusal(reply)
    device.noteOwedSignOut(false)
    const me = await this.#api.get('/api/me', Me)
    if (me.kind !== 'ok') return refusal(me)
    if (!me.body.pinSet) this.#justGiven = password
    const entered = await this.#enter(me.body, me.body.personId, false, !me.body.pinSet)
    if (!entered.ok) return entered
    await this.#learn('password', password)
    return { ok: true }
  }

  /** What the hospital's own sign-in is called; null where there is none, or while nobody can be asked. */
  async hospitalName(): Promise<string | null> {
    const reply = await this.#api.get('/api/sign-in-ways', SignInWays)
    return reply.kind === 'ok' ? (reply.body.hospital?.name ?? null) : null
  }

  /** Leaves for the hospital's sign-in. The page goes away; only without a network does this come back. */
  async leaveForHospital(): Promise<Outcome> {
    const reply = await this.#api.get('/api/me', Me)
    if (reply.kind === 'unreachable') return AWAY
    device.notePerson({ leftFrom: reply.kind === 'ok' ? reply.body.signedInAt : '' })
    location.assign('/api/hospital-sign-in')
    return { ok: true }
  }

  /** Locks the screen at once; the server is told as soon as it can be. */
  lock(): void {
    if (this.#state.kind !== 'in' || this.#state.locked) return
    this.#justGiven = null
    device.notePerson({ lockedHere: true })
    this.#set({ ...this.#state, locked: true, offerPin: false })
    void this.#api.post('/api/lock', {}, Anything)
  }

  /** Opens the lock by PIN: by the server where it can be reached, else by what this tablet knows. */
  async unlockByPin(pin: string): Promise<Outcome> {
    const ask = () => this.#api.post('/api/unlock', { pin }, Anything)
    const reply = await ask()
    if (reply.kind === 'unreachable') return this.#unlockHere('pin', pin, ask)
    if (reply.kind !== 'ok') return refusal(reply)
    this.#unlocked()
    await this.#learn('pin', pin)
    return { ok: true }
  }

  /** Opens the lock by password, for whoever has no PIN, forgot it, or whose session ended. */
  async unlockByPassword(password: string): Promise<Outcome> {
    const username = device.lastPerson()?.username ?? ''
    const ask = () => this.#api.post('/api/sign-in', { username, password }, Anything)
    const reply = await ask()
    if (reply.kind === 'unreachable') return this.#unlockHere('password', password, ask)
    if (reply.kind !== 'ok') return refusal(reply)
    this.#unlocked()
    await this.#renewKey()
    await this.#learn('password', password)
    return { ok: true }
  }

  /** Sets a PIN. The password may be left out while the choice is offered right after a sign-in. */
  async setPin(pin: string, password = this.#justGiven ?? undefined): Promise<Outcome> {
    const reply = await this.#api.post('/api/pin', { password, pin }, Anything)
    if (reply.kind !== 'ok') return refusal(reply)
    this.#justGiven = null
    await this.#learn('pin', pin)
    if (this.#state.kind === 'in') {
      const me = { ...this.#state.me, pinSet: true }
      // Without a network the tablet opens by what it remembers: also that there is a PIN now.
      device.notePerson({ me })
      this.#set({ ...this.#state, me, offerPin: false })
    }
    return { ok: true }
  }

  /** Puts off choosing a PIN: until then the password opens the lock. */
  laterPin(): void {
    this.#justGiven = null
    if (this.#state.kind === 'in') this.#set({ ...this.#state, offerPin: false })
  }

  /** Tells the server of an unlocking that it did not see; a server that will not have it locks the screen. */
  async settleDoor(): Promise<void> {
    if (this.#state.kind !== 'in' || this.#state.locked || !this.#owedUnlock) return
    const ask = this.#owedUnlock
    this.#owedUnlock = null
    const reply = await ask()
    if (reply.kind === 'ok') this.#state.store.letIn()
    else if (reply.kind === 'unreachable') this.#owedUnlock = ask
    else this.lock()
  }

  /**
   * Signs out. Once all is sent, this person's storage is removed from the tablet; what is not sent stays here,
   * and is sent at their next sign-in.
   */
  async signOut(): Promise<void> {
    if (this.#state.kind !== 'in') return
    const { me, store } = this.#state
    const { waiting, refused } = store.sending()
    const unsent = waiting + refused.length
    await this.#tellSignOut()
    store.close()
    // What was opened and not told counts too: it is told at their next sign-in.
    const entries = Math.max(unsent, await countWaiting(me.facility, me.personId))
    await leave(me, entries)
    device.forgetPerson()
    this.#keep = null
    this.#owedUnlock = null
    this.#set({ kind: 'signed out' })
  }

  /** A server that cannot be told now is told at the next opening, before anybody is let in. */
  async #tellSignOut(): Promise<void> {
    device.noteOwedSignOut(true)
    const reply = await this.#api.post('/api/sign-out', {}, Anything)
    if (reply.kind !== 'unreachable') device.noteOwedSignOut(false)
  }

  async #enter(me: Me, username: string, locked: boolean, offerPin: boolean): Promise<Outcome> {
    const safe = await this.#safe(me)
    if (safe === null) {
      this.#set({ kind: 'signed out' })
      return canSeal() ? AWAY : CANNOT_SEAL
    }
    const keep = new Keep(me.facility, me.personId, safe)
    const store = await LocalStore.open(keep, this.#api, keepName(me.facility, me.personId))
    store.subscribe(() => {
      if (store.sending().line === 'signed out') this.#endedElsewhere(me)
    })
    this.#keep = keep
    const last = device.lastPerson()
    // Opening the app again must not wipe out wrong tries at the lock.
    const tries = locked && last?.me.personId === me.personId ? last : { wrongTries: 0, lastWrongAtMs: 0 }
    device.rememberPerson({
      me,
      username,
      lockedHere: locked,
      lastActiveAtMs: Date.now(),
      wrongTries: tries.wrongTries,
      lastWrongAtMs: tries.lastWrongAtMs,
      leftFrom: null,
    })
    device.noteLeftBehind({ facility: me.facility, personId: me.personId, name: me.name, entries: 0 })
    // Asks the browser not to clear the tablet's storage when space runs short.
    void navigator.storage?.persist?.()
    this.#keyDropped = false
    this.#set({ kind: 'in', me, store, locked, offerPin })
    return { ok: true }
  }

  #safe(me: Me): Promise<Safe | null> {
    if (!canSeal()) return Promise.resolve(null)
    return Safe.open(keepName(me.facility, me.personId), device.deviceId(), async (named) => {
      const reply = await this.#api.post('/api/tablet', { device: named }, TabletSecret)
      return reply.kind === 'ok' ? fromBase64url(reply.body.secret) : null
    })
  }

  /**
   * The session ended by its age, or because somebody signed this person out from elsewhere: what is kept can then
   * be opened only after a new sign-in. What is on the screen, a draft too, waits behind the lock.
   */
  #endedElsewhere(me: Me): void {
    if (this.#keyDropped) return
    this.#keyDropped = true
    void dropKey(keepName(me.facility, me.personId))
    this.lock()
  }

  /** After a new sign-in at the lock: the key comes back to the tablet. */
  async #renewKey(): Promise<void> {
    if (this.#state.kind !== 'in' || !this.#keyDropped) return
    this.#keyDropped = (await this.#safe(this.#state.me)) === null
  }

  async #unlockHere(
    by: 'pin' | 'password',
    word: string,
    ask: () => Promise<Reply<unknown>>,
  ): Promise<Outcome> {
    const last = device.lastPerson()
    if (!last) return AWAY
    const waitMs = last.lastWrongAtMs + waitAfterWrongMs(last.wrongTries) - Date.now()
    if (waitMs > 0) {
      return {
        ok: false,
        what: 'Too many wrong tries.',
        todo: `Wait ${Math.ceil(waitMs / 1000)} s and try again.`,
      }
    }
    const known = Verifier.safeParse(await this.#keep?.note(by))
    if (!known.success) {
      const todo =
        by === 'pin' ? 'Use your password, or try again with a network.' : 'Try again with a network.'
      return { ok: false, what: `Without a network this tablet cannot check your ${wordFor(by)}.`, todo }
    }
    if (!(await verifies(word, known.data))) {
      device.notePerson({ wrongTries: last.wrongTries + 1, lastWrongAtMs: Date.now() })
      return { ok: false, what: `That is not your ${wordFor(by)}.`, todo: 'Try again.' }
    }
    this.#owedUnlock = ask
    this.#unlocked()
    return { ok: true }
  }

  #unlocked(): void {
    device.notePerson({ lockedHere: false, lastActiveAtMs: Date.now(), wrongTries: 0 })
    if (this.#state.kind !== 'in') return
    this.#set({ ...this.#state, locked: false, me: { ...this.#state.me, locked: false } })
    this.#state.store.letIn()
  }

  /** Remembers how to check a word without the server. A failure costs only that. */
  async #learn(by: 'pin' | 'password', word: string): Promise<void> {
    try {
      await this.#keep?.setNote(by, await makeVerifier(word, randomBytes))
    } catch {
      // The tablet will then ask for a network to unlock.
    }
  }

  #set(state: SessionState): void {
    this.#state = state
    for (const listener of this.#listeners) listener()
  }
}

/** Why the hospital's sign-in led nowhere, when the page was opened by it; asked once. */
export function hospitalRefusal(): string | null {
  const said = SignInRefusal.safeParse(/^#sign-in=(.+)$/.exec(location.hash)?.[1])
  if (!said.success) return null
  history.replaceState(null, '', location.pathname)
  return HOSPITAL_REFUSALS[said.data]
}

const HOSPITAL_REFUSALS: Readonly<Record<SignInRefusal, string>> = {
  away: 'The hospital’s sign-in cannot be reached. Use your name and password here.',
  'not-vouched-for': 'The hospital’s sign-in did not let you in, or it took too long. Try again.',
  unknown: 'The hospital knows you, but this department has nobody of that name. Ask the administrator.',
  another: 'This name belonged to somebody else in the hospital before. Ask the administrator.',
}

/**
 * Leaves nothing of a person on this tablet that can be opened without them: everything is removed when all is sent,
 * and otherwise the key is, until they sign in here again. `unsent`, when known, counts what is refused too.
 */
async function leave({ facility, personId, name }: Me, unsent?: number): Promise<void> {
  const entries = unsent ?? (await countWaiting(facility, personId))
  const keep = keepName(facility, personId)
  if (entries === 0) {
    await removeKeep(facility, personId)
    await forgetSafe(keep)
  } else {
    await dropKey(keep)
  }
  device.noteLeftBehind({ facility, personId, name, entries })
}

function fromBase64url(text: string): Uint8Array<ArrayBuffer> {
  const plain = atob(text.replaceAll('-', '+').replaceAll('_', '/'))
  return Uint8Array.from(plain, (sign) => sign.charCodeAt(0))
}

function wordFor(by: 'pin' | 'password'): string {
  return by === 'pin' ? 'PIN' : 'password'
}

function refusal(reply: Exclude<Reply<unknown>, { kind: 'ok' }>): Outcome {
  if (reply.kind === 'unreachable') return AWAY
  return { ok: false, what: reply.error.what, todo: reply.error.todo }
}
