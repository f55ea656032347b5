import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { HERE, refusal, START, type TestServer, testServer } from '../../../test/support/test-server.ts'
import { AccessLog } from '../../api/schemas.ts'

let server: TestServer
beforeEach(async () => {
  server = await testServer({ staff: ['amsel', 'falk', 'keeper'] })
})
afterEach(() => server.close())

const LOOK = {
  id: '0198c1d2-7a00-7000-8000-000000000001',
  at: '2026-03-10T08:00:00.000Z',
  patientId: 'p1',
  where: 'patient',
}
const TOLD = { sentAt: '2026-03-10T09:00:00.000Z', device: 'tablet-1', looks: [LOOK] }

describe('records opened on a tablet', () => {
  it('stand in the log by the session that tells them and the server’s clock, beside what the tablet says', async () => {
    expect((await server.post('/api/looks', await server.signIn('amsel'), TOLD)).statusCode).toBe(200)
    const lead = await server.signIn('falk')
    const { notes, brokenAt } = AccessLog.parse((await server.get('/api/access-log', lead)).json())
    expect(notes.filter(({ what }) => what.startsWith('opened'))).toMatchObject([
      {
        at: START,
        personId: 'amsel',
        what: 'opened patient',
        about: `p1 at ${LOOK.at} on tablet-1, whose clock then said ${TOLD.sentAt}, look ${LOOK.id}`,
      },
    ])
    expect(brokenAt).toBeNull()
  })
  it('cannot be told in another’s name or for another hospital', async () => {
    const cookie = await server.signIn('amsel')
    for (const more of [{ personId: 'falk' }, { facility: 'eastholm' }]) {
      expect(refusal(await server.post('/api/looks', cookie, { ...TOLD, ...more }))[0]).toBe(400)
      const looks = [{ ...LOOK, ...more }]
      expect(refusal(await server.post('/api/looks', cookie, { ...TOLD, looks }))[0]).toBe(400)
    }
    const noted = await server.ledger.accessAfter(HERE, 0, 100)
    expect(noted.filter(({ what }) => what.startsWith('opened'))).toEqual([])
  })
  it('are taken from a locked tablet, and from nobody who may not read the record', async () => {
    const cookie = await server.signIn('amsel')
    await server.post('/api/lock', cookie)
    expect((await server.post('/api/looks', cookie, TOLD)).statusCode).toBe(200)
    expect(refusal(await server.post('/api/looks', '', TOLD))[0]).toBe(401)
  })
})
