import { afterEach, beforeEach, expect, it } from 'vitest'
import { type TestServer, testServer } from '../../../test/support/test-server.ts'
import { TabletSecret } from '../../api/schemas.ts'

let server: TestServer
beforeEach(async () => {
  server = await testServer({ staff: ['amsel', 'falk'] })
})
afterEach(() => server.close())

const secretOf = async (cookie: string, device: string) =>
  TabletSecret.parse((await server.post('/api/tablet', cookie, { device })).json()).secret

it('a tablet has one secret a person, the same again on a ledger that never heard of the tablet', async () => {
  const [amsel, falk] = [await server.signIn('amsel'), await server.signIn('falk')]
  const given = await secretOf(amsel, 'one')
  expect(Buffer.from(given, 'base64url')).toHaveLength(32)
  expect(await secretOf(amsel, 'one')).toBe(given)
  const others = [await secretOf(amsel, 'two'), await secretOf(falk, 'one')]
  expect(new Set([given, ...others]).size).toBe(3)
  await server.open.db.deleteFrom('tablet').execute()
  expect(await secretOf(amsel, 'one')).toBe(given)
})

it('a secret that was given before stays, whatever the server would make now', async () => {
  const cookie = await server.signIn('amsel')
  await secretOf(cookie, 'one')
  await server.open.db.updateTable('tablet').set({ secret: 'older' }).execute()
  expect(await secretOf(cookie, 'one')).toBe('older')
})
