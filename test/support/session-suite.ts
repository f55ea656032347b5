import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import {
  cookieOf,
  MINUTE_MS,
  passwordOf,
  refusal,
  START,
  type TestServer,
  testServer,
} from './test-server.ts'

const PIN = '284617'

/** Signing in, locks and PINs, whichever database they stand on. */
export function sessionSuite(name: string, newAddress: () => Promise<string | undefined>): void {
  describe(`sessions on ${name}`, () => {
    let server: TestServer
    beforeEach(async () => {
      const address = await newAddress()
      server = await testServer({
        staff: ['amsel', 'falk', 'keeper'],
        ...(address !== undefined && { address }),
      })
    })
    afterEach(() => server.close())

    const me = async (cookie: string) => {
      const reply = await server.get('/api/me', cookie)
      return reply.statusCode === 200 ? reply.json() : refusal(reply)[1]
    }
    const withPin = async () => {
      const cookie = await server.signIn('amsel')
      const set = await server.post('/api/pin', cookie, { password: passwordOf('amsel'), pin: PIN })
      expect(set.statusCode).toBe(200)
      return cookie
    }

    it('lets in by name and password, and tells who is signed in', async () => {
      expect(await me('')).toBe('not-signed-in')
      const cookie = await server.signIn('amsel')
      expect(await me(cookie)).toEqual({
        personId: 'amsel',
        name: 'Person amsel',
        role: 'therapist',
        facility: 'larkmere',
        pinSet: false,
        locked: false,
        lockAfterMinutes: 5,
        serverNow: START,
        signedInAt: START,
      })
    })

    it('says the same of a wrong password and of a name that nobody has', async () => {
      const tries = [
        { username: 'amsel', password: passwordOf('falk') },
        { username: 'nobody', password: passwordOf('falk') },
      ]
      for (const body of tries) {
        const reply = await server.post('/api/sign-in', '', body)
        expect(refusal(reply)).toEqual([401, 'wrong'])
        expect(reply.headers['set-cookie']).toBeUndefined()
      }
    })

    it('gives a cookie that scripts and other sites cannot use, and no other', async () => {
      const reply = await server.post('/api/sign-in', '', {
        username: 'AMSEL ',
        password: passwordOf('amsel'),
      })
      expect(reply.cookies).toEqual([
        expect.objectContaining({
          name: 'mistwright',
          httpOnly: true,
          sameSite: 'Strict',
          path: '/',
          maxAge: 43_200,
        }),
      ])
      expect(reply.cookies[0]).not.toHaveProperty('domain')
    })

    it('takes no made-up cookie, and none whose signature was changed', async () => {
      const cookie = await server.signIn('amsel')
      expect(await me('mistwright=abc.def')).toBe('not-signed-in')
      expect(await me(cookie.replace(/.{6}$/, 'AAAAAA'))).toBe('not-signed-in')
    })

    it('ends a session at sign-out, and the one before at a new sign-in in the same browser', async () => {
      const first = await server.signIn('amsel')
      const again = await server.post('/api/sign-in', first, {
        username: 'amsel',
        password: passwordOf('amsel'),
      })
      const second = cookieOf(again)
      expect(await me(first)).toBe('not-signed-in')
      expect(await me(second)).toMatchObject({ personId: 'amsel' })
      const out = await server.post('/api/sign-out', second)
      expect(out.cookies.find(({ name }) => name === 'mistwright')).toMatchObject({ value: '', maxAge: 0 })
      expect(await me(second)).toBe('not-signed-in')
    })

    it('ends a session that nobody used for 15 minutes, and not one that was used', async () => {
      const cookie = await server.signIn('amsel')
      server.later(14 * MINUTE_MS)
      expect(await me(cookie)).toMatchObject({ personId: 'amsel' })
      server.later(14 * MINUTE_MS)
      expect(await me(cookie)).toMatchObject({ personId: 'amsel' })
      server.later(15 * MINUTE_MS)
      expect(await me(cookie)).toBe('not-signed-in')
      server.later(-15 * MINUTE_MS)
      expect(await me(cookie)).toBe('not-signed-in')
    })

    it('ends every session after 12 hours, however busy', async () => {
      const cookie = await server.signIn('amsel')
      for (let minutes = 0; minutes < 12 * 60 - 10; minutes += 10) {
        server.later(10 * MINUTE_MS)
        expect(await me(cookie)).toMatchObject({ personId: 'amsel' })
      }
      server.later(10 * MINUTE_MS)
      expect(await me(cookie)).toBe('not-signed-in')
    })

    it('answers a locked session with 423, all but what a lock needs, until the PIN is given', async () => {
      const cookie = await withPin()
      expect((await server.post('/api/lock', cookie)).statusCode).toBe(200)
      expect(await me(cookie)).toMatchObject({ locked: true, pinSet: true })
      for (const url of ['/api/learned', '/api/verify', '/api/export/facts.ndjson', '/api/people']) {
        expect(refusal(await server.get(url, cookie))).toEqual([423, 'locked'])
      }
      const set = await server.post('/api/pin', cookie, { password: passwordOf('amsel'), pin: '111222' })
      expect(refusal(set)).toEqual([423, 'locked'])
      expect(refusal(await server.post('/api/unlock', cookie, { pin: '284618' }))).toEqual([403, 'wrong-pin'])
      expect(await me(cookie)).toMatchObject({ locked: true })
      expect((await server.post('/api/unlock', cookie, { pin: PIN })).statusCode).toBe(200)
      expect(await me(cookie)).toMatchObject({ locked: false })
      expect((await server.get('/api/learned', cookie)).statusCode).toBe(200)
    })

    it('does not let what a locked tablet sends by itself keep the session alive', async () => {
      const cookie = await server.signIn('amsel')
      await server.post('/api/lock', cookie)
      for (const _turn of [1, 2]) {
        server.later(7 * MINUTE_MS)
        expect(await me(cookie)).toMatchObject({ locked: true })
      }
      server.later(MINUTE_MS)
      expect(await me(cookie)).toBe('not-signed-in')
    })

    it('looks at no PIN after five wrong ones, not even the right one, until the password was given', async () => {
      const cookie = await withPin()
      await server.post('/api/lock', cookie)
      const outcomes: string[] = []
      for (let turn = 0; turn < 5; turn += 1) {
        outcomes.push(refusal(await server.post('/api/unlock', cookie, { pin: '999000' }))[1])
      }
      expect(outcomes).toEqual(['wrong-pin', 'wrong-pin', 'wrong-pin', 'wrong-pin', 'use-password'])
      expect(refusal(await server.post('/api/unlock', cookie, { pin: PIN }))).toEqual([403, 'use-password'])
      const anew = await server.signIn('amsel')
      await server.post('/api/lock', anew)
      expect((await server.post('/api/unlock', anew, { pin: PIN })).statusCode).toBe(200)
    })

    it('counts wrong PINs that are sent side by side', async () => {
      const cookie = await withPin()
      await server.post('/api/lock', cookie)
      const replies = await Promise.all(
        Array.from({ length: 12 }, (_, at) =>
          server.post('/api/unlock', cookie, { pin: String(400_000 + at) }),
        ),
      )
      expect(replies.map((reply) => refusal(reply)[0])).toEqual(Array(12).fill(403))
      expect(refusal(await server.post('/api/unlock', cookie, { pin: PIN }))).toEqual([403, 'use-password'])
    })

    it.each([
      ['12345', 'not-valid'],
      ['12ab56', 'not-valid'],
      ['777777', 'weak-pin'],
      ['345678', 'weak-pin'],
      ['987654', 'weak-pin'],
      ['121212', 'weak-pin'],
    ])('takes no PIN %s', async (pin, code) => {
      const cookie = await server.signIn('amsel')
      const reply = await server.post('/api/pin', cookie, { password: passwordOf('amsel'), pin })
      expect(refusal(reply)).toEqual([400, code])
      expect(await me(cookie)).toMatchObject({ pinSet: false })
    })

    it('asks for the password before a PIN is set', async () => {
      const cookie = await server.signIn('amsel')
      const reply = await server.post('/api/pin', cookie, { password: passwordOf('falk'), pin: PIN })
      expect(refusal(reply)).toEqual([403, 'wrong'])
      expect(await me(cookie)).toMatchObject({ pinSet: false })
    })

    it('makes further tries wait after five wrong passwords, longer each time, and says how long', async () => {
      const wrong = { username: 'amsel', password: 'not the right one at all' }
      for (let turn = 0; turn < 5; turn += 1) {
        expect(refusal(await server.post('/api/sign-in', '', wrong))).toEqual([401, 'wrong'])
      }
      const right = { username: 'amsel', password: passwordOf('amsel') }
      const soon = await server.post('/api/sign-in', '', right)
      expect(refusal(soon)).toEqual([429, 'too-often'])
      expect(soon.headers['retry-after']).toBe('1')
      server.later(1000)
      expect(refusal(await server.post('/api/sign-in', '', wrong))).toEqual([401, 'wrong'])
      expect((await server.post('/api/sign-in', '', right)).headers['retry-after']).toBe('2')
      server.later(2000)
      expect((await server.post('/api/sign-in', '', right)).statusCode).toBe(200)
      expect(refusal(await server.post('/api/sign-in', '', wrong))).toEqual([401, 'wrong'])
      expect((await server.post('/api/sign-in', '', right)).statusCode).toBe(200)
    })

    it('changes a password for who knows the old one, and ends every session', async () => {
      const [here, elsewhere] = [await server.signIn('amsel'), await server.signIn('amsel')]
      const change = (password: string, newPassword: string) =>
        server.post('/api/password', here, { password, newPassword })
      expect(refusal(await change(passwordOf('falk'), 'nine quiet lanterns'))).toEqual([403, 'wrong'])
      expect(refusal(await change(passwordOf('amsel'), 'too short'))).toEqual([400, 'weak-password'])
      expect((await change(passwordOf('amsel'), 'nine quiet lanterns')).statusCode).toBe(200)
      expect([await me(here), await me(elsewhere)]).toEqual(['not-signed-in', 'not-signed-in'])
      await expect(server.signIn('amsel')).rejects.toThrow(/was not let in/)
      expect(await me(await server.signIn('amsel', 'nine quiet lanterns'))).toMatchObject({
        personId: 'amsel',
      })
    })

    it('writes sign-ins and refused ones into the access list, and never what was typed as a name', async () => {
      await server.signIn('falk')
      await server.post('/api/sign-in', '', { username: 'amsel', password: 'wrong' })
      await server.post('/api/sign-in', '', { username: 'my secret phrase', password: 'x' })
      const cookie = await server.signIn('keeper')
      const { notes, brokenAt } = (await server.get('/api/access-log', cookie)).json()
      const said = notes.map(
        ({ personId, what }: { personId: string; what: string }) => `${personId} ${what}`,
      )
      expect(said).toEqual([
        'falk signed in',
        'amsel sign-in refused',
        'nobody sign-in refused',
        'keeper signed in',
        'keeper read access log',
      ])
      expect(brokenAt).toBeNull()
      expect(JSON.stringify(notes)).not.toContain('secret phrase')
    })
  })
}
