import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import { CALLBACK, CLIENT, identityProvider } from '../../test/support/identity-provider.ts'
import {
  cookieOf,
  HERE,
  MINUTE_MS,
  START,
  type TestServer,
  testServer,
} from '../../test/support/test-server.ts'
import { HospitalProvider } from './hospital-provider.ts'

/** The hospital's people: lasting subject to name. */
const people = new Map([
  ['h-0017', 'Amsel'],
  ['h-0018', 'amsel'],
  ['h-0099', 'stranger'],
])
let there: Awaited<ReturnType<typeof identityProvider>>
let server: TestServer
beforeAll(async () => {
  there = await identityProvider(people)
})
afterAll(() => there.close())
beforeEach(async () => {
  server = await serverFor(there.issuer)
})
afterEach(() => server.close())

async function serverFor(issuer: string): Promise<TestServer> {
  let made: TestServer | null = null
  const nowMs = () => made?.nowMs() ?? Date.parse(START)
  const config = { ...CLIENT, issuer, claim: 'preferred_username', name: 'Marrowby', callback: CALLBACK }
  const hospital = new HospitalProvider({ ...config, secret: 's'.repeat(40) }, nowMs)
  made = await testServer({ staff: ['amsel', 'keeper'], parts: { hospital } })
  return made
}

/** Leaves for the provider: its address, and the ticket. */
const leave = async () => {
  const reply = await server.get('/api/hospital-sign-in')
  expect(reply.statusCode).toBe(302)
  return { address: String(reply.headers.location), ticket: cookieOf(reply) }
}
const comeBack = (address: URL, ticket: string) =>
  server.get(`/api/hospital-sign-in/done${address.search}`, ticket)
const signIn = async (subject: string) => {
  const { address, ticket } = await leave()
  return comeBack(await there.signIn(address, subject), ticket)
}
const accessNotes = async () =>
  (await server.ledger.accessAfter(HERE, 0, 100)).map(
    ({ person_id, what, about }) => `${person_id}: ${what}, ${about}`,
  )

describe('signing in with the hospital (against an independent OpenID provider)', () => {
  it('says that there is such a way', async () => {
    expect((await server.get('/api/sign-in-ways')).json()).toEqual({ hospital: { name: 'Marrowby' } })
  })

  it('lets in whom the provider vouches for, as the person of that name, and writes it down', async () => {
    const reply = await signIn('h-0017')
    expect([reply.statusCode, reply.headers.location]).toEqual([302, '/'])
    const session = reply.cookies.find(({ name }) => name === 'mistwright')
    expect(session).toMatchObject({ httpOnly: true, sameSite: 'Strict', path: '/' })
    const me = await server.get('/api/me', cookieOf(reply))
    expect(me.json()).toMatchObject({
      personId: 'amsel',
      role: 'therapist',
      locked: false,
      signedInAt: START,
    })
    expect(await accessNotes()).toEqual(['amsel: signed in, by the hospital'])
  })

  it('asks with a code challenge, a state and a nonce, none of which it uses twice', async () => {
    const [first, second] = [await leave(), await leave()].map(({ address }) => new URL(address).searchParams)
    for (const name of ['code_challenge', 'state', 'nonce']) {
      expect(first?.get(name)?.length).toBeGreaterThan(30)
      expect(first?.get(name)).not.toBe(second?.get(name))
    }
    expect(first?.get('code_challenge_method')).toBe('S256')
  })

  it('refuses somebody whom the department does not know', async () => {
    const reply = await signIn('h-0099')
    expect([reply.statusCode, reply.headers.location]).toEqual([302, '/#sign-in=unknown'])
    expect(cookieOf(reply)).toBe('')
    expect(await accessNotes()).toEqual(['nobody: sign-in refused, unknown'])
  })

  it('opens nothing to somebody who was given a name that another had before', async () => {
    await signIn('h-0017')
    const reply = await signIn('h-0018')
    expect(reply.headers.location).toBe('/#sign-in=another')
    expect(cookieOf(reply)).toBe('')
    const again = await signIn('h-0017')
    expect(again.headers.location).toBe('/')
  })

  it('lets in nobody whom the administrator shut out', async () => {
    await server.people.setActive(HERE, 'amsel', false)
    expect((await signIn('h-0017')).headers.location).toBe('/#sign-in=unknown')
  })

  it('takes no answer that this browser did not ask for, that was changed, that is too late, or that is used again', async () => {
    const other = await leave()
    const { address, ticket } = await leave()
    const back = await there.signIn(address, 'h-0017')
    const changed = new URL(back)
    changed.searchParams.set('code', `${back.searchParams.get('code')}x`)
    const forged = ticket.replace(/\.[^.]*$/, '.AAAA')
    const tries = [
      () => comeBack(back, ''),
      () => comeBack(back, other.ticket),
      () => comeBack(back, forged),
      () => comeBack(changed, ticket),
      () => comeBack(new URL(`${CALLBACK}?error=access_denied`), ticket),
      () => server.get('/api/hospital-sign-in/done', ticket),
    ]
    for (const attempt of tries) {
      const reply = await attempt()
      expect(reply.headers.location).toBe('/#sign-in=not-vouched-for')
      expect(cookieOf(reply)).toBe('')
    }
    expect(server.log()).not.toContain('h-0017')
    server.later(11 * MINUTE_MS)
    expect((await comeBack(back, ticket)).headers.location).toBe('/#sign-in=not-vouched-for')
    server.later(-11 * MINUTE_MS)
    expect((await comeBack(back, ticket)).headers.location).toBe('/')
    expect((await comeBack(back, ticket)).headers.location).toBe('/#sign-in=not-vouched-for')
  })

  it('lets a PIN be chosen without a password right after it, and not later', async () => {
    const cookie = cookieOf(await signIn('h-0017'))
    server.later(6 * MINUTE_MS)
    expect((await server.post('/api/pin', cookie, { pin: '284617' })).statusCode).toBe(403)
    server.later(-3 * MINUTE_MS)
    expect((await server.post('/api/pin', cookie, { pin: '284617' })).statusCode).toBe(200)
  })

  it('leaves the password sign-in open while the provider is away, and says so', async () => {
    const away = await serverFor('http://127.0.0.1:9')
    const reply = await away.get('/api/hospital-sign-in')
    expect(reply.headers.location).toBe('/#sign-in=away')
    expect(await away.signIn('amsel')).toContain('mistwright=')
    await away.close()
  })
})
