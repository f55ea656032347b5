import type { InjectOptions, LightMyRequestResponse } from 'fastify'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { doorFor, feedWriter } from '../../test/support/door.ts'
import { ROUTES, type RouteRow } from '../../test/support/routes.ts'
import {
  HERE,
  MINUTE_MS,
  refusal,
  type StaffId,
  type TestServer,
  testServer,
} from '../../test/support/test-server.ts'
import { buildServer } from './build-server.ts'

/** Stands in what is sent, and must come back in no log. */
const MARK = 'pt-7f3a-marker'

let server: TestServer
let elsewhere: Awaited<ReturnType<typeof buildServer>>
const cookies = {} as Record<'falk' | 'keeper' | 'amsel', string>
beforeAll(async () => {
  server = await testServer({ staff: ['amsel', 'falk', 'keeper'] })
  for (const id of ['amsel', 'falk', 'keeper'] as const) cookies[id] = await server.signIn(id)
  elsewhere = await buildServer({
    ledger: server.ledger,
    people: server.people,
    facility: 'otherton',
    door: doorFor(feedWriter(7, server.nowMs, 'otherton'), 'America/Chicago'),
    nowMs: server.nowMs,
    appFolder: null,
    secure: false,
    hospital: null,
    logger: false,
  })
}, 60_000)
afterAll(async () => {
  await elsewhere.close()
  await server.close()
})

/** An open line never ends by itself, and signing out would end the sweep's own session. */
const SWEPT = ROUTES.filter(([, url]) => !['/api/live', '/api/sign-out', '/api/lock'].includes(url))
const CLOSED = ROUTES.filter(([, , , whom]) => whom !== 'any')
const WRITING = SWEPT.filter(([method]) => method === 'POST')

const send = (to: TestServer['app'], [method, url, body]: RouteRow, more: Partial<InjectOptions>) =>
  to.inject({ method, url, ...(body && { payload: body }), ...more })

/** Not a fault, in the one shape of refusals if it is one, and with every header that protects. */
function expectSound(reply: LightMyRequestResponse): void {
  expect(reply.statusCode).toBeLessThan(500)
  if (reply.statusCode >= 400) refusal(reply)
  expect(reply.headers).toMatchObject({
    'x-content-type-options': 'nosniff',
    'referrer-policy': 'no-referrer',
    'cache-control': 'no-store',
    'content-security-policy': expect.stringContaining("default-src 'self'"),
  })
  expect(reply.headers['x-powered-by']).toBeUndefined()
}

describe('with a session that is none any more', () => {
  const ENDED: readonly (readonly [string, () => Promise<string>])[] = [
    ['made up', async () => 'mistwright=AAAA.BBBB'],
    [
      'signed out',
      async () => {
        const cookie = await server.signIn('amsel')
        await server.post('/api/sign-out', cookie)
        return cookie
      },
    ],
    [
      'of somebody shut out since',
      async () => {
        const cookie = await server.signIn('amsel')
        await server.people.setActive(HERE, 'amsel', false)
        await server.people.setActive(HERE, 'amsel', true)
        return cookie
      },
    ],
    [
      'left idle',
      async () => {
        const cookie = await server.signIn('amsel')
        server.later(16 * MINUTE_MS)
        return cookie
      },
    ],
  ]
  it.each(ENDED)('%s, every closed route answers 401', async (_what, cookieOf) => {
    const cookie = await cookieOf()
    for (const route of CLOSED) {
      const reply = await send(server.app, route, { headers: { cookie } })
      // An empty upload is refused for its form before anybody asks who sends it.
      const isForm = reply.statusCode === 400 && route[0] === 'POST' && route[1] === '/api/facts'
      expect([route[1], isForm ? 401 : reply.statusCode]).toEqual([route[1], 401])
    }
    for (const id of ['amsel', 'falk', 'keeper'] as const) cookies[id] = await server.signIn(id)
  })
})

describe('with another hospital’s session, on one database', () => {
  it('every closed route of the other hospital answers 401', async () => {
    for (const route of CLOSED.filter(([method, url]) => method === 'GET' || url !== '/api/facts')) {
      const reply = await send(elsewhere, route, { headers: { cookie: cookies.keeper } })
      expect([route[1], ...refusal(reply)]).toEqual([route[1], 401, 'not-signed-in'])
    }
  })

  it('takes no fact that names another hospital, or another person as its writer', async () => {
    const about = { patientId: MARK, orderId: 'o', visitId: 'v' }
    const mine = server.writer('amsel').write('treatment-goes-on', about, {})
    const facts = [
      { ...mine, facility: 'otherton' },
      { ...mine, by: { personId: 'falk', role: 'lead' } },
      { ...mine, by: { personId: 'amsel', role: 'lead' } },
    ]
    const sentAt = new Date(server.nowMs()).toISOString()
    const before = await server.ledger.last(HERE)
    for (const fact of facts) {
      const reply = await server.post('/api/facts', cookies.amsel, { sentAt, facts: [fact] })
      expect(reply.json().results[0].status).toBe('refused')
    }
    expect(await server.ledger.last(HERE)).toBe(before)
    expect(await server.ledger.last('otherton')).toBe(0)
  })
})

describe('whatever is sent', () => {
  const OTHERS: readonly unknown[] = [
    null,
    [],
    'text',
    7,
    true,
    {},
    { __proto__: { role: 'administrator' } },
    JSON.parse('{"__proto__":{"role":"administrator"},"constructor":{"prototype":{"x":1}}}'),
  ]
  it.each(WRITING)('%s %s answers the wrong type at every place', async (...route) => {
    const [, url, body] = route
    const wholes = OTHERS.map((payload) => JSON.stringify(payload))
    const parts = Object.keys(body ?? {}).flatMap((field) =>
      [...OTHERS, -1, 1e308, MARK.repeat(2000), `${MARK}\u0000'; drop table ledger; --`].map((value) =>
        JSON.stringify({ ...body, [field]: value }),
      ),
    )
    for (const payload of [...wholes, ...parts, '{"a":', '\u0000', '']) {
      const headers = { cookie: cookies.keeper, 'content-type': 'application/json' }
      const reply = await server.app.inject({ method: 'POST', url, payload, headers })
      expectSound(reply)
    }
  })

  it.each(WRITING)('%s %s refuses what is too large and what is not JSON', async (...route) => {
    const [, url] = route
    const headers = { cookie: cookies.keeper }
    const large = JSON.stringify({ text: 'x'.repeat(6_000_001) })
    const tooLarge = await server.app.inject({
      method: 'POST',
      url,
      payload: large,
      headers: { ...headers, 'content-type': 'application/json' },
    })
    expect(refusal(tooLarge)).toEqual([413, 'too-large'])
    for (const type of ['application/xml', 'text/plain', 'multipart/form-data; boundary=x']) {
      const reply = await server.app.inject({
        method: 'POST',
        url,
        payload: `<!DOCTYPE x [<!ENTITY e SYSTEM "file:///etc/passwd">]><x>&e;${MARK}</x>`,
        headers: { ...headers, 'content-type': type },
      })
      expectSound(reply)
      expect(reply.statusCode).toBeGreaterThanOrEqual(400)
    }
  })

  it.each(SWEPT)('%s %s answers odd addresses and other methods', async (...route) => {
    const [, url] = route
    const headers = { cookie: cookies.falk }
    const queries = [
      'after=-1',
      'after=NaN',
      'limit=999999999',
      'after=1&after=2',
      'personId=',
      `q=${'x'.repeat(8000)}`,
    ]
    for (const query of queries) {
      expectSound(await server.app.inject({ method: 'GET', url: `${url}?${query}`, headers }))
    }
    for (const method of ['PUT', 'DELETE', 'PATCH', 'OPTIONS'] as const) {
      const reply = await server.app.inject({ method, url, headers })
      expectSound(reply)
      expect([404, 405]).toContain(reply.statusCode)
    }
  })

  it.each(WRITING)('%s %s refuses a page of another site', async (...route) => {
    for (const headers of [
      { origin: 'https://elsewhere.example' },
      { origin: 'null' },
      { 'sec-fetch-site': 'cross-site' },
      { 'sec-fetch-site': 'same-site' },
    ]) {
      const reply = await send(server.app, route, { headers: { cookie: cookies.keeper, ...headers } })
      expect(refusal(reply)).toEqual([403, 'other-site'])
    }
  })

  it('no handover address reaches another file', async () => {
    for (const file of ['..%2f..%2fsecret.pdf', '%2e%2e%2fsecret', 'x%00.pdf', '..pdf', 'a/b.pdf']) {
      const reply = await server.get(`/api/handovers/${file}`, cookies.falk)
      expect([400, 404]).toContain(reply.statusCode)
    }
  })

  it('left nothing of what was sent in the log, and nobody with another role', async () => {
    expect(server.log().length).toBeGreaterThan(1000)
    expect(server.log()).not.toContain(MARK)
    expect(server.log()).not.toContain('drop table')
    const roles = (await server.people.list(HERE)).map(({ personId, role }) => [personId, role])
    expect(roles.filter(([id]) => (['amsel', 'falk', 'keeper'] as string[]).includes(id as StaffId))).toEqual(
      [
        ['amsel', 'therapist'],
        ['falk', 'lead'],
        ['keeper', 'administrator'],
      ],
    )
  })
})
