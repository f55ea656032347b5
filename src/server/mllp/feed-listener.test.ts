import { mkdtempSync, readFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import Client, { Message } from 'node-hl7-client'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { RawSender } from '../../../test/support/mllp.ts'
import { type TestServer, testServer } from '../../../test/support/test-server.ts'
import { readFeeds } from './feed-settings.ts'

const sample = (name: string) => readFileSync(`src/exchange/hl7/test-data/${name}.hl7`, 'utf8')
const ADMIT = sample('01-adt-a01-admit')
const ORDER = sample('05-rde-new-qid')
const FRAME = (text: string) => `\u000b${text}\u001c\r`
const code = (answer: string) => /MSA\|(\w\w)/.exec(answer)?.[1]

let server: TestServer
let port: number
const open = async (listen: object = {}, more: object = {}) => {
  const read = readFeeds(JSON.stringify({ listen: { port: 0, ...listen } }))
  if (!read.ok) throw new Error(read.what)
  const listening = (at: number) => {
    port = at
  }
  const feeds = { feeds: read.feeds, listenTls: null, sendTls: new Map(), listening }
  server = await testServer({ staff: [], parts: { feeds }, ...more })
  await server.app.ready()
}
beforeEach(() => {
  port = 0
})
afterEach(() => server.close())

const kinds = async () =>
  (await server.ledger.after('larkmere', 0, 1000)).map(({ text }) => JSON.parse(text).kind)
const raws = async () =>
  (await server.ledger.after('larkmere', 0, 1000))
    .map(({ text }) => JSON.parse(text))
    .filter(({ kind }) => kind === 'message-received')
    .map(({ body }) => body)

describe('messages over a line', () => {
  it('of an independent sender are stored and acknowledged', async () => {
    await open()
    const answer = await new Promise<string>((resolve, reject) => {
      const client = new Client({ host: '127.0.0.1' })
      const outbound = client.createConnection({ port }, async (response) => {
        resolve(response.getMessage().toString())
        await outbound.close()
      })
      outbound.on('error', reject)
      void outbound.sendMessage(new Message({ text: ADMIT }))
    })
    expect(code(answer)).toBe('AA')
    expect((await kinds()).sort()).toEqual(['census-updated', 'message-received'])
  })

  it('are taken byte by byte, several in one piece, and with noise between them', async () => {
    await open()
    const sender = new RawSender(port)
    for (const char of FRAME(ADMIT)) {
      sender.socket.write(char)
      await new Promise((resolve) => setImmediate(resolve))
    }
    expect((await sender.answers(1)).map(code)).toEqual(['AA'])
    sender.socket.write(`\r\nnoise${FRAME(ORDER)}${FRAME(ADMIT)}`)
    expect((await sender.answers(2)).map(code)).toEqual(['AA', 'AA'])
    sender.socket.destroy()
    expect((await raws()).map(({ raw, encoding }) => [raw.slice(0, 5), encoding])).toEqual([
      ['MSH|^', 'text'],
      [btoa('\r\nnoise').slice(0, 5), 'base64'],
      ['MSH|^', 'text'],
    ])
  })

  it('get the first answer again to the byte when they come again, also after a restart', async () => {
    const folder = mkdtempSync(join(tmpdir(), 'mistwright-'))
    const address = join(folder, 'm.db')
    await open({}, { address })
    const first = await new RawSender(port).send(ADMIT)
    expect(await new RawSender(port).send(ADMIT)).toBe(first)
    await server.close()
    await open({}, { address, door: 5 })
    expect(await new RawSender(port).send(ADMIT)).toBe(first)
    const before = await kinds()
    expect(code(await new RawSender(port).send(ADMIT.replace('PID|1', 'PID|2')))).toBe('AE')
    expect(await kinds()).toHaveLength(before.length + 1)
  })

  it('that are too large or not of their character set are kept and answered with an error', async () => {
    await open({ largestBytes: 3000 })
    const sender = new RawSender(port)
    const large = await sender.send(`${ADMIT}NTE|1||${'x'.repeat(5000)}\r`)
    expect([code(large), large]).toEqual(['AE', expect.stringContaining('larger than 3000 bytes')])
    const header = ADMIT.split('\r')[0]?.replace(/(\|[^|]*){9}/, (part) => part) ?? ''
    sender.socket.write(
      Buffer.concat([Buffer.from(`\u000b${header}\rPID|1||`), Buffer.from([0xff, 0x1c, 0x0d])]),
    )
    expect((await sender.answers(1)).map(code)).toEqual(['AE'])
    expect((await raws()).map(({ encoding }) => encoding)).toEqual(['base64', 'base64'])
    expect(await kinds()).not.toContain('census-updated')
  })

  it('of a sender that stops in the middle are not waited for without end, and are taken when they come again', async () => {
    await open({ frameSeconds: 0.2 })
    const slow = new RawSender(port)
    slow.socket.write(FRAME(ADMIT).slice(0, 40))
    await slow.closed
    const gone = new RawSender(port)
    gone.socket.end(FRAME(ADMIT).slice(0, 60))
    await gone.closed
    expect(await kinds()).toEqual([])
    expect(code(await new RawSender(port).send(ADMIT))).toBe('AA')
    const metrics = (await server.get('/api/metrics')).body
    expect(metrics).toContain('mistwright_message_connections_turned_away_total{why="slow"} 1')
    expect(metrics).toContain('mistwright_messages_received_total{outcome="cut short"} 1')
    expect(metrics).toContain('mistwright_messages_received_total{outcome="AA"} 1')
  })

  it('are answered though the sender ended its half at once', async () => {
    await open()
    const sender = new RawSender(port)
    sender.socket.end(FRAME(ADMIT))
    expect((await sender.answers(1)).map(code)).toEqual(['AA'])
    await sender.closed
  })

  it('are taken from no more connections than were allowed, and from no strange address', async () => {
    await open({ mostConnections: 1 })
    const one = new RawSender(port)
    expect(code(await one.send(ADMIT))).toBe('AA')
    await new RawSender(port).closed
    expect(code(await one.send(ORDER))).toBe('AA')
    await server.close()
    await open({ from: ['192.0.2.7'] })
    await new RawSender(port).closed
    expect(await kinds()).toEqual([])
  })

  it('that cannot be stored are not answered, so that they are sent again', async () => {
    await open()
    await server.ledger.close()
    const sender = new RawSender(port)
    sender.socket.write(FRAME(ADMIT))
    await sender.closed
    expect(server.log()).toContain('could not be stored')
    expect(server.log()).not.toContain('Okonjo')
  })
})

describe('the file of feeds', () => {
  it.each([
    ['{', 'The file of feeds is not JSON.'],
    ['{"listen":{"port":70000}}', 'listen.port'],
    ['{"listen":{"port":2575,"hots":"x"}}', 'hots'],
    ['{"send":[{"name":"Pharmacy"}]}', 'send.0.name: small letters'],
  ])('%s is refused in a sentence', (text, what) => {
    expect(readFeeds(text)).toMatchObject({ ok: false, what: expect.stringContaining(what) })
  })
  it('is warned of where it leaves the machine without TLS', () => {
    const send = [
      {
        name: 'pharmacy',
        host: '10.0.0.9',
        port: 6661,
        receiver: { application: 'P', facility: 'L' },
        messages: ['RAS^O17'],
      },
    ]
    const warnings = (feeds: object) => {
      const read = readFeeds(JSON.stringify(feeds))
      return read.ok ? read.warnings.length : read.what
    }
    expect(warnings({ listen: { host: '0.0.0.0', port: 2575 }, send })).toBe(2)
    expect(warnings({ listen: { port: 2575 } })).toBe(0)
    expect(warnings({ send: [...send, ...send] })).toContain('pharmacy is there twice')
  })
})
