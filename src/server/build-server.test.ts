import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { QID_ALBUTEROL } from '../../test/support/facts.ts'
import { refusal, type TestServer, testServer } from '../../test/support/test-server.ts'
import { faultOf } from './errors.ts'

const folder = mkdtempSync(join(tmpdir(), 'mistwright-app-'))
mkdirSync(join(folder, 'assets'))
writeFileSync(join(folder, 'index.html'), '<!doctype html><title>App</title>')
writeFileSync(join(folder, 'sw.js'), '// worker')
writeFileSync(join(folder, 'assets', 'main-1a2b.js'), '// code')
writeFileSync(join(folder, '..', 'outside.txt'), 'not to be served')

let server: TestServer
beforeAll(async () => {
  server = await testServer({ staff: ['amsel'], parts: { appFolder: folder } })
})
afterAll(async () => {
  await server.close()
  rmSync(folder, { recursive: true })
  rmSync(join(folder, '..', 'outside.txt'))
})

describe('the app', () => {
  it.each([
    ['/', 'no-cache', 'App'],
    ['/visit/123', 'no-cache', 'App'],
    ['/sw.js', 'no-cache', 'worker'],
    ['/assets/main-1a2b.js', 'public, max-age=31536000, immutable', 'code'],
  ])('is served at %s with %s', async (url, cacheControl, text) => {
    const reply = await server.get(url)
    expect([reply.statusCode, reply.headers['cache-control']]).toEqual([200, cacheControl])
    expect(reply.body).toContain(text)
  })

  it.each(['/assets/gone.js', '/outside.txt', '/..%2foutside.txt', '/../outside.txt', '/%2e%2e/outside.txt'])(
    'serves nothing at %s',
    async (url) => {
      const reply = await server.get(url)
      expect(reply.body).not.toContain('not to be served')
      expect(refusal(reply)).toEqual([404, 'not-there'])
    },
  )
})

describe('every answer', () => {
  it.each([
    ['an unknown address', 'GET', '/api/nothing', undefined, 404, 'not-there'],
    ['an unknown method', 'DELETE', '/api/facts', undefined, 404, 'not-there'],
    ['an address that cannot be read', 'GET', '/api/%zz', undefined, 400, 'not-read'],
    ['a body that is not JSON', 'POST', '/api/sign-in', '{"username":', 400, 'not-read'],
    ['a body of another type', 'POST', '/api/sign-in', undefined, 400, 'not-valid'],
    [
      'a body that is too large',
      'POST',
      '/api/sign-in',
      JSON.stringify('x'.repeat(6_000_001)),
      413,
      'too-large',
    ],
  ] as const)('to %s is a refusal in the one shape', async (_what, method, url, payload, status, code) => {
    const headers = payload === undefined ? {} : { 'content-type': 'application/json' }
    const reply = await server.app.inject({ method, url, headers, ...(payload !== undefined && { payload }) })
    expect(refusal(reply)).toEqual([status, code])
    expect(reply.json().error.requestId).toBe(reply.headers['x-request-id'] ?? reply.json().error.requestId)
    expect(reply.body).not.toMatch(/node_modules|\bat .*\.ts|stack/)
  })

  it('names the fields that are wrong', async () => {
    const reply = await server.post('/api/sign-in', '', { username: '', password: 7, more: true })
    expect(reply.json().error.fields.map(({ where }: { where: string }) => where)).toEqual(
      expect.arrayContaining(['username', 'password']),
    )
  })

  it('of the API is not kept by anything in between, and lets no other site in', async () => {
    const { headers } = await server.get('/api/health')
    expect(headers['cache-control']).toBe('no-store')
    expect(headers['x-content-type-options']).toBe('nosniff')
    expect(headers['referrer-policy']).toBe('no-referrer')
    expect(headers['access-control-allow-origin']).toBeUndefined()
    expect(headers['strict-transport-security']).toBeUndefined()
    expect(String(headers['content-security-policy']).split(';')).toEqual(
      expect.arrayContaining([
        "default-src 'self'",
        "script-src 'self' 'wasm-unsafe-eval'",
        "object-src 'none'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
      ]),
    )
    expect(headers['content-security-policy']).not.toContain('upgrade-insecure-requests')
  })

  it('after a fault inside says nothing of it', async () => {
    const broken = await testServer({ staff: ['amsel'] })
    const cookie = await broken.signIn('amsel')
    await broken.open.db.schema.dropTable('ledger').execute()
    const reply = await broken.get('/api/verify', cookie)
    expect(refusal(reply)).toEqual([500, 'fault'])
    expect(reply.body).not.toMatch(/sqlite|ledger|table/i)
    expect(refusal(await broken.get('/api/ready'))).toEqual([503, 'not-ready'])
    expect(broken.log()).toContain('"msg":"fault"')
    await broken.close()
  })
})

describe('a change', () => {
  const change = async (headers: Record<string, string>) => {
    const reply = await server.app.inject({
      method: 'POST',
      url: '/api/sign-in',
      headers: { host: 'ward.local:8080', ...headers },
      payload: { username: 'nobody', password: 'x' },
    })
    return refusal(reply)[1]
  }
  it.each([
    [{}, 'wrong'],
    [{ origin: 'http://ward.local:8080', 'sec-fetch-site': 'same-origin' }, 'wrong'],
    [{ origin: 'http://evil.example' }, 'other-site'],
    [{ origin: 'http://ward.local:9090' }, 'other-site'],
    [{ origin: 'null' }, 'other-site'],
    [{ 'sec-fetch-site': 'cross-site' }, 'other-site'],
    [{ 'sec-fetch-site': 'same-site' }, 'other-site'],
    [{ origin: 'http://ward.local:8080', 'sec-fetch-site': 'cross-site' }, 'other-site'],
  ])('asked for with %j is answered %s', async (headers, code) => {
    expect(await change(headers)).toBe(code)
  })

  it('may come through a proxy by the name that people use', async () => {
    const behind = await testServer({ staff: [], parts: { publicUrl: 'https://ward.example', secure: true } })
    const ask = (origin: string) =>
      behind.app.inject({ method: 'POST', url: '/api/sign-out', headers: { origin, host: '10.0.0.5:8080' } })
    expect((await ask('https://ward.example')).statusCode).toBe(200)
    expect(refusal(await ask('https://other.example'))).toEqual([403, 'other-site'])
    await behind.close()
  })
})

describe('behind TLS', () => {
  it('the cookie is bound to this host and sent over TLS only, and browsers are told to come by https', async () => {
    const secure = await testServer({
      staff: ['amsel'],
      parts: { secure: true },
      people: { baseUrl: 'https://ward.example' },
    })
    const reply = await secure.post('/api/sign-in', '', {
      username: 'amsel',
      password: 'amsel keeps seven herons',
    })
    expect(reply.cookies[0]).toMatchObject({
      name: '__Host-mistwright',
      secure: true,
      httpOnly: true,
      path: '/',
    })
    expect(reply.headers['strict-transport-security']).toContain('max-age=31536000')
    expect(reply.headers['content-security-policy']).toContain('upgrade-insecure-requests')
    await secure.close()
  })
})

describe('the log', () => {
  it('holds a line a request, and neither patients, names, passwords, cookies nor addresses with their questions', async () => {
    const watched = await testServer({ staff: ['amsel'] })
    const cookie = await watched.signIn('amsel')
    const about = { patientId: 'patient-secret', orderId: 'order-secret', visitId: 'visit-secret' }
    const fact = watched.writer('amsel').write('treatment-paused', about, { reason: 'Tamsin Okonjo coughs' })
    const sentAt = new Date(watched.nowMs()).toISOString()
    await watched.post('/api/facts', cookie, { sentAt, facts: [fact] })
    await watched.post('/api/facts', cookie, { sentAt, facts: [{ ...fact, facility: 'Tamsin' }] })
    await watched.post('/api/orders', cookie, { patientId: 'patient-secret', order: QID_ALBUTEROL })
    await watched.get('/api/access-log?after=0&limit=77', cookie)
    const whole = { device: 'tablet-secret', waiting: 0, ids: ['patient-secret'] }
    expect((await watched.post('/api/pull/patients', cookie, whole)).statusCode).toBe(200)
    await watched.get('/api/handovers/handover-secret.pdf', cookie)
    await watched.get('/patient/patient-secret?name=Tamsin', cookie)
    await watched.post('/api/messages', cookie, { channel: 'hl7v2', text: 'PID|1||MB004417||Okonjo^Tamsin' })
    await watched.open.db.schema.dropTable('access_log').execute()
    const untold = await watched.post('/api/pull/patients', cookie, whole)
    expect([untold.statusCode, untold.body.includes('patient-secret')]).toEqual([500, false])
    const lines = watched
      .log()
      .trim()
      .split('\n')
      .map((line) => JSON.parse(line))
    const requests = lines.filter(({ msg }) => msg === 'request')
    expect(requests).toHaveLength(10)
    expect(requests[1]).toMatchObject({ method: 'POST', route: '/api/facts', status: 200 })
    expect(requests.every(({ reqId }) => /^[0-9a-f-]{36}$/.test(reqId))).toBe(true)
    expect(lines.some(({ msg, type }) => msg === 'fault' && typeof type === 'string')).toBe(true)
    const private_ = /secret|Tamsin|Okonjo|MB004417|seven herons|mistwright=|limit=77|after=/
    expect(watched.log()).not.toMatch(private_)
    await watched.close()
  })
})

it('a fault is logged by its kind and place, without its words, which may quote a patient', () => {
  const error = Object.assign(new TypeError('row (MB004417, Tamsin) is broken\n  Tamsin again'), {
    code: '23502',
    detail: 'Failing row contains (MB004417, Tamsin)',
  })
  const said = faultOf(error)
  expect(said).toMatchObject({ type: 'TypeError', code: '23502' })
  expect(said.at[0]).toContain('build-server.test.ts')
  expect(JSON.stringify(said)).not.toMatch(/Tamsin|MB004417/)
  expect(faultOf('Tamsin')).toEqual({ type: 'string', at: [] })
})

describe('metrics', () => {
  it('count every route, by its pattern', async () => {
    await server.get('/api/nothing?name=Tamsin')
    await server.get('/api/health')
    const { body } = await server.get('/api/metrics')
    expect(body).toMatch(/mistwright_request_seconds_count\{route="\/api\/health",status="200"\} [1-9]/)
    expect(body).toMatch(/mistwright_request_seconds_count\{route="none",status="404"\} [1-9]/)
    expect(body).not.toContain('Tamsin')
  })
  it('are for collectors on this machine and for the administrator', async () => {
    const from = (remoteAddress: string, headers = {}) =>
      server.app.inject({ method: 'GET', url: '/api/metrics', remoteAddress, headers })
    expect((await from('127.0.0.1')).statusCode).toBe(200)
    expect(refusal(await from('10.1.2.3'))[0]).toBe(401)
    expect(refusal(await from('127.0.0.1', { 'x-forwarded-for': '10.1.2.3' }))[0]).toBe(401)
    const cookie = await server.signIn('amsel')
    expect(refusal(await from('10.1.2.3', { cookie }))[0]).toBe(403)
  })
})
