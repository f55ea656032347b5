import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import {
  cookieOf,
  passwordOf,
  refusal,
  type TestServer,
  testServer,
} from '../../../test/support/test-server.ts'

const FRESH = {
  personId: 'newcomer',
  name: 'Nele Comer, CRT',
  role: 'therapist',
  password: 'four slow brass bells',
}

let server: TestServer
let keeper: string
beforeAll(async () => {
  server = await testServer({ staff: ['amsel', 'keeper'] })
  keeper = await server.signIn('keeper')
})
afterAll(() => server.close())

const signIn = (username: string, password: string) => server.post('/api/sign-in', '', { username, password })
const staffFacts = async (personId: string) => {
  const facts = []
  for await (const { text } of server.ledger.entries('larkmere')) {
    const fact = JSON.parse(text)
    if (fact.kind === 'staff-recorded' && fact.about.personId === personId) facts.push(fact)
  }
  return facts
}

describe('people', () => {
  it('are added by the administrator, into the record too, and can then sign in', async () => {
    const added = await server.post('/api/people', keeper, { ...FRESH, signedOffFor: ['children'] })
    expect(added.statusCode).toBe(200)
    expect((await signIn('newcomer', FRESH.password)).statusCode).toBe(200)
    const facts = await staffFacts('newcomer')
    expect(facts).toHaveLength(1)
    expect(facts[0]).toMatchObject({
      by: { personId: 'keeper', role: 'administrator' },
      body: { name: FRESH.name, role: 'therapist', signedOffFor: ['children'], active: true },
    })
    const { people } = (await server.get('/api/people', keeper)).json()
    expect(people).toContainEqual({ personId: 'newcomer', name: FRESH.name, role: 'therapist', active: true })
  })

  it('are not added twice, with an odd name, as the program, or with a password that would be tried first', async () => {
    const add = async (change: object) =>
      refusal(await server.post('/api/people', keeper, { ...FRESH, ...change }))
    expect(await add({ personId: 'amsel' })).toEqual([409, 'taken'])
    expect(await add({ personId: 'Amsel Two' })).toEqual([400, 'not-valid'])
    expect(await add({ personId: 'another', role: 'system' })).toEqual([400, 'not-valid'])
    expect(await add({ personId: 'another', password: 'fourteen signs' })).toEqual([400, 'weak-password'])
    expect(await add({ personId: 'another', password: 'password12345678' })).toEqual([400, 'weak-password'])
    expect(await add({ personId: 'another', password: 'another larkmere 12' })).toEqual([
      400,
      'weak-password',
    ])
    expect(await staffFacts('another')).toEqual([])
  })

  it('who are let in no more are out at once, everywhere, and stay out of their old sessions', async () => {
    const amsel = cookieOf(await signIn('amsel', passwordOf('amsel')))
    const set = (active: boolean) => server.post('/api/people/active', keeper, { personId: 'amsel', active })
    expect((await set(false)).statusCode).toBe(200)
    expect(refusal(await server.get('/api/me', amsel))[0]).toBe(401)
    expect(refusal(await signIn('amsel', passwordOf('amsel')))).toEqual([401, 'wrong'])
    await set(true)
    expect(refusal(await server.get('/api/me', amsel))[0]).toBe(401)
    expect((await signIn('amsel', passwordOf('amsel'))).statusCode).toBe(200)
    expect((await staffFacts('amsel')).map(({ body }) => body.active)).toEqual([false, true])
  })

  it('cannot shut themselves out', async () => {
    const reply = await server.post('/api/people/active', keeper, { personId: 'keeper', active: false })
    expect(refusal(reply)).toEqual([409, 'yourself'])
    expect((await server.get('/api/me', keeper)).statusCode).toBe(200)
  })

  it('get a new password when they lost theirs, and are let in again after far too many wrong ones', async () => {
    await server.open.db
      .updateTable('person')
      .set({ password_tries: 100, password_tried_at: null })
      .where('person_id', '=', 'amsel')
      .execute()
    expect(refusal(await signIn('amsel', passwordOf('amsel')))).toEqual([403, 'stopped'])
    const give = (personId: string, password: string) =>
      server.post('/api/people/password', keeper, { personId, password })
    expect(refusal(await give('nobody', 'three blue kettles'))).toEqual([404, 'not-there'])
    expect(refusal(await give('amsel', 'amsel amsel amsel'))).toEqual([400, 'weak-password'])
    expect((await give('amsel', 'three blue kettles')).statusCode).toBe(200)
    expect((await signIn('amsel', 'three blue kettles')).statusCode).toBe(200)
  })
})
