import { expect, it } from 'vitest'
import { testServer } from '../../test/support/test-server.ts'
import { SITE } from '../chart/documents/site.ts'

it('locks screens after the minutes that the site document in force says, from when it takes effect', async () => {
  const server = await testServer({ staff: ['falk'] })
  const cookie = await server.signIn('falk')
  const minutes = async () => (await server.get('/api/me', cookie)).json().lockAfterMinutes
  expect(await minutes()).toBe(SITE.defaults.lockAfterMinutes)
  const adopted = server.writer('falk').write(
    'document-adopted',
    { document: 'site' },
    {
      edition: 'second',
      approvedBy: 'Ida Vance',
      note: '',
      content: { ...SITE.defaults, lockAfterMinutes: 9 },
    },
    { happenedAt: new Date(server.nowMs() + 60_000).toISOString() },
  )
  const sentAt = new Date(server.nowMs()).toISOString()
  expect((await server.post('/api/facts', cookie, { sentAt, facts: [adopted] })).json()).toMatchObject({
    results: [{ status: 'stored' }],
  })
  expect(await minutes()).toBe(SITE.defaults.lockAfterMinutes)
  server.later(61_000)
  expect(await minutes()).toBe(9)
  await server.close()
})
