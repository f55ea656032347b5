import type { InjectOptions } from 'fastify'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { patternOf, ROUTES } from '../../test/support/routes.ts'
import {
  refusal,
  STAFF,
  START,
  type StaffId,
  type TestServer,
  testServer,
} from '../../test/support/test-server.ts'
import { mayWrite } from '../chart/permissions.ts'
import { KINDS } from '../chart/registry.ts'

const IDS = Object.keys(STAFF) as StaffId[]
let server: TestServer
const cookies = {} as Record<StaffId, string>
beforeAll(async () => {
  server = await testServer()
  for (const id of IDS) cookies[id] = await server.signIn(id)
}, 60_000)
afterAll(() => server.close())

const LETTER = { therapist: 'T', lead: 'L', educator: 'E', learner: 'R', prescriber: 'P', administrator: 'A' }

const ask = (method: 'GET' | 'POST', url: string, body: object | null, cookie: string) => {
  const options: InjectOptions = { method, url, headers: { cookie }, ...(body && { payload: body }) }
  return server.app.inject(options)
}

describe('every route', () => {
  it('is in this table', () => {
    const known = [...new Set(ROUTES.map(([method, url]) => `${method} ${patternOf(url)}`))].sort()
    const served: string[] = []
    const above: string[] = []
    for (const line of server.app.printRoutes({ commonPrefix: false }).split('\n')) {
      // A tree: four signs of indentation a level, then the branch, a piece of the address, and the methods.
      const [, indent = '', piece = '', methods = ''] =
        /^((?:[│ ] {3})*)[├└]── (\S*)(?: \((.*)\))?/.exec(line) ?? []
      const depth = indent.length / 4
      above.splice(depth, above.length, piece)
      for (const method of methods.split(', ')) {
        if (method === 'GET' || method === 'POST') served.push(`${method} ${above.join('')}`)
      }
    }
    expect(served.sort()).toEqual(known)
  })

  it.each(ROUTES.filter(([, , , whom]) => whom !== 'any'))(
    '%s %s is closed to nobody in particular',
    async (...route) => {
      const [method, url, body] = route
      const reply = await ask(
        method,
        url,
        url === '/api/facts' && body ? { ...body, facts: [aFact()] } : body,
        '',
      )
      expect(refusal(reply)).toEqual([401, 'not-signed-in'])
    },
  )

  const LONG_LIVED = ['/api/live', '/api/lock']
  it.each(ROUTES.filter(([, url, , whom]) => whom !== 'any' && !LONG_LIVED.includes(url)))(
    '%s %s is for whom the table says',
    async (...route) => {
      const [method, url, body, whom] = route
      for (const id of IDS) {
        const reply = await ask(method, url, body, cookies[id])
        const allowed = whom === 'all' || whom.includes(LETTER[STAFF[id]])
        const isClosed = reply.statusCode === 403 && refusal(reply)[1] === 'not-allowed'
        expect([id, isClosed]).toEqual([id, !allowed])
      }
    },
  )
})

const aFact = (personId: StaffId = 'amsel', seed = 1) =>
  server.writer(personId, seed).write('treatment-goes-on', { patientId: 'p', orderId: 'o', visitId: 'v' }, {})

describe('every kind of fact', () => {
  it.each(IDS)('is taken from %s, or refused for its kind, as the table of permissions says', async (id) => {
    const facts = KINDS.map(({ kind }, at) => ({ ...aFact(id, 1000 + at), kind, version: 1 }))
    const reply = await server.post('/api/facts', cookies[id], { sentAt: START, facts })
    const closed = reply
      .json()
      .results.map((result: { problems?: { where: string; what: string }[] }) =>
        (result.problems ?? []).some(
          ({ where, what }) => where === 'kind' && what.includes('does not write'),
        ),
      )
    expect(closed).toHaveLength(KINDS.length)
    expect(closed).toEqual(KINDS.map(({ kind }) => !mayWrite(STAFF[id], kind)))
  })
})

it('notes who was refused what', async () => {
  await server.get('/api/export/facts.ndjson', cookies.hollen)
  const notes = await server.ledger.accessAfter('larkmere', 0, 10_000, 'hollen')
  expect(notes.at(-1)).toMatchObject({ what: 'refused', about: 'export' })
})
