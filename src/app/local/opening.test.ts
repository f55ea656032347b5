import { describe, expect, it } from 'vitest'
import type { Me } from '../../api/schemas.ts'
import type { Reply } from './api.ts'
import type { LastPerson } from './device.ts'
import { idleTooLong, opening } from './opening.ts'

const NOW = 1_800_000_000_000
const me: Me = {
  personId: 'p1',
  name: 'R. Amsel',
  role: 'therapist',
  facility: 'f1',
  pinSet: true,
  locked: false,
  lockAfterMinutes: 5,
  serverNow: '2027-01-15T08:00:00.000Z',
  signedInAt: '2027-01-15T07:00:00.000Z',
}
const last: LastPerson = {
  me,
  username: 'amsel',
  lockedHere: false,
  lastActiveAtMs: NOW - 60_000,
  wrongTries: 0,
  lastWrongAtMs: 0,
  leftFrom: null,
}
const ok = (body: Me): Reply<Me> => ({ kind: 'ok', body })
const away: Reply<Me> = { kind: 'unreachable', why: 'no network' }
const no = (status: number): Reply<Me> => ({
  kind: 'said no',
  status,
  error: { code: 'x', what: '', kept: '', todo: '' },
})

describe('how the app opens', () => {
  it.each([
    ['signed in, active a minute ago', ok(me), last, 'open'],
    ['signed in, never seen on this tablet', ok(me), null, 'open'],
    ['the server says locked', ok({ ...me, locked: true }), last, 'locked'],
    ['locked here before the reload', ok(me), { ...last, lockedHere: true }, 'locked'],
    [
      'left for the hospital and came back with nothing new',
      ok(me),
      { ...last, lockedHere: true, leftFrom: me.signedInAt },
      'locked',
    ],
    ['came back with a new session', ok(me), { ...last, lockedHere: true, leftFrom: '' }, 'open'],
    ['nobody touched it for five minutes', ok(me), { ...last, lastActiveAtMs: NOW - 300_000 }, 'locked'],
    ['somebody else was here before', ok({ ...me, personId: 'p2' }), { ...last, lockedHere: true }, 'open'],
    ['the session ended', no(401), last, 'sign in'],
    ['no network, last person known', away, last, 'locked'],
    ['no network, nobody known', away, null, 'sign in'],
    ['the server is in trouble, last person known', no(503), last, 'locked'],
  ] as const)('%s', (_when, reply, remembered, kind) => {
    expect(opening(reply, remembered, NOW).kind).toBe(kind)
  })

  it('locks when the minutes are over, not before, and never for zero', () => {
    expect(idleTooLong(NOW - 299_999, 5, NOW)).toBe(false)
    expect(idleTooLong(NOW - 300_000, 5, NOW)).toBe(true)
    expect(idleTooLong(0, 0, NOW)).toBe(false)
  })
})
