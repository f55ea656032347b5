import type { Me } from '../../api/schemas.ts'
import type { Reply } from './api.ts'
import type { LastPerson } from './device.ts'

/** How the app opens: with whom, and whether behind the lock. */
export type Opening =
  | { readonly kind: 'sign in' }
  /** `offerPin`: a sign-in elsewhere has only just led here, and no PIN is set. */
  | { readonly kind: 'open'; readonly me: Me; readonly offerPin: boolean }
  | { readonly kind: 'locked'; readonly me: Me }

/**
 * What the server's answer to "who is signed in" and what this tablet remembers amount to. A reload never opens
 * what was locked, and a tablet without a network opens only for the person who was last signed in here, by PIN
 * or password.
 */
export function opening(reply: Reply<Me>, last: LastPerson | null, nowMs: number): Opening {
  if (reply.kind === 'ok') {
    const me = reply.body
    const same = last !== null && last.me.personId === me.personId && last.me.facility === me.facility
    // Whoever left for the hospital's sign-in and came back with another session has just proved who they are.
    const isNew = same && last.leftFrom !== null && last.leftFrom !== me.signedInAt
    const slept =
      same && !isNew && (last.lockedHere || idleTooLong(last.lastActiveAtMs, me.lockAfterMinutes, nowMs))
    return me.locked || slept ? { kind: 'locked', me } : { kind: 'open', me, offerPin: !same && !me.pinSet }
  }
  // The server ended the session: what this person wrote waits on the tablet until they sign in again.
  if (reply.kind === 'said no' && reply.status === 401) return { kind: 'sign in' }
  return last ? { kind: 'locked', me: last.me } : { kind: 'sign in' }
}

/** Whether nobody touched the app for so long that it must lock. Zero or fewer minutes means never. */
export function idleTooLong(lastActiveAtMs: number, lockAfterMinutes: number, nowMs: number): boolean {
  return lockAfterMinutes > 0 && nowMs - lastActiveAtMs >= lockAfterMinutes * 60_000
}
