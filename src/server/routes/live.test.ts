import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { refusal, type TestServer, testServer } from '../../../test/support/test-server.ts'

let server: TestServer
let address: string
beforeEach(async () => {
  server = await testServer({ staff: ['amsel', 'falk'] })
  address = await server.app.listen({ host: '127.0.0.1', port: 0 })
})
afterEach(() => server.close())

/** Opens a live line and reads it until it has said so many events. */
async function listen(cookie: string) {
  const reply = await fetch(`${address}/api/live`, { headers: { cookie } })
  const reader = reply.body?.pipeThrough(new TextDecoderStream()).getReader()
  let said = ''
  return {
    reply,
    events: async (count: number) => {
      while ((said.match(/\n\n/g) ?? []).length < count) {
        const { value, done } = (await reader?.read()) ?? { done: true }
        if (done) throw new Error(`the line ended after ${JSON.stringify(said)}`)
        said += value
      }
      return said.split('\n\n').filter(Boolean)
    },
    ended: async () => {
      while (!(await reader?.read())?.done) {
        // What is still said before the end does not matter here.
      }
      return true
    },
  }
}

const store = async (seed: number) => {
  const fact = server.writer('amsel', seed).write('patient-away', { patientId: 'p' }, { reason: 'imaging' })
  await server.ledger.append('larkmere', { facts: [fact], receivedAt: fact.recordedAt, deviceAheadMs: null })
}

describe('the live line', () => {
  it('says where the ledger ends, and each time it has grown, to everybody', async () => {
    await store(1)
    const lines = await Promise.all(
      [await server.signIn('amsel'), await server.signIn('falk')].map((cookie) => listen(cookie)),
    )
    for (const line of lines) expect(await line.events(1)).toEqual(['event: ledger\ndata: {"last":1}'])
    await store(2)
    await store(3)
    for (const line of lines) {
      expect((await line.events(3)).slice(1)).toEqual([
        'event: ledger\ndata: {"last":2}',
        'event: ledger\ndata: {"last":3}',
      ])
    }
  })

  it('carries the headers of every answer, and is closed to nobody in particular', async () => {
    const { reply } = await listen(await server.signIn('amsel'))
    expect(reply.headers.get('content-type')).toBe('text/event-stream')
    expect(reply.headers.get('cache-control')).toBe('no-store')
    expect(reply.headers.get('content-security-policy')).toContain("default-src 'self'")
    expect(refusal(await server.get('/api/live'))).toEqual([401, 'not-signed-in'])
  })

  it('is kept awake, and ends when its session has ended', async () => {
    vi.useFakeTimers({ toFake: ['setInterval', 'clearInterval'] })
    try {
      const cookie = await server.signIn('amsel')
      const line = await listen(cookie)
      await line.events(1)
      vi.advanceTimersByTime(25_000)
      expect((await line.events(2))[1]).toBe(': here')
      await server.post('/api/sign-out', cookie)
      vi.advanceTimersByTime(25_000)
      expect(await line.ended()).toBe(true)
    } finally {
      vi.useRealTimers()
    }
  })

  it('does not keep the server from closing, and ends then', async () => {
    const line = await listen(await server.signIn('amsel'))
    await line.events(1)
    await server.app.close()
    expect(await line.ended()).toBe(true)
  })
})
