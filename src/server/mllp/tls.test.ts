import { execFileSync } from 'node:child_process'
import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { connect } from 'node:tls'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { type TestServer, testServer } from '../../../test/support/test-server.ts'
import { FeedLine } from './feed-line.ts'
import { readFeeds } from './feed-settings.ts'
import { readCertificates } from './read-certificates.ts'

const ADMIT = readFileSync('src/exchange/hl7/test-data/01-adt-a01-admit.hl7', 'utf8')
const ORDER = readFileSync('src/exchange/hl7/test-data/05-rde-new-qid.hl7', 'utf8')
const [CONTROL_ID = '', ORDER_ID = ''] = [ADMIT, ORDER].map((text) => text.split('|')[9])
const folder = mkdtempSync(join(tmpdir(), 'mistwright-'))
const at = (name: string) => join(folder, name)
let server: TestServer
let port = 0

/** A key and a certificate that signs itself, for the name localhost. */
function certify(name: string): void {
  const words = `req -x509 -newkey ec -pkeyopt ec_paramgen_curve:P-256 -nodes -days 2 -subj /CN=${name} -addext`
  const files = ['subjectAltName=DNS:localhost', '-keyout', at(`${name}.key`), '-out', at(`${name}.pem`)]
  execFileSync('openssl', [...words.split(' '), ...files], { stdio: 'ignore' })
}

beforeAll(async () => {
  for (const name of ['ours', 'theirs', 'stranger']) certify(name)
  const tls = { key: at('ours.key'), certificate: at('ours.pem'), clientsSignedBy: at('theirs.pem') }
  const read = readFeeds(JSON.stringify({ listen: { port: 0, tls } }))
  if (!read.ok) throw new Error(read.what)
  const listening = (listened: number) => {
    port = listened
  }
  server = await testServer({ staff: [], parts: { feeds: { ...readCertificates(read.feeds), listening } } })
  await server.app.ready()
}, 60_000)
afterAll(async () => {
  await server.close()
  rmSync(folder, { recursive: true })
})

/** A line that shows a certificate, and believes ours unless told otherwise. */
const lineOf = (who: string, signedBy = 'ours') => {
  const tls = {
    key: at(`${who}.key`),
    certificate: at(`${who}.pem`),
    signedBy: at(`${signedBy}.pem`),
    serverName: 'localhost',
  }
  const receiver = { application: 'M', facility: 'L' }
  const send = [{ name: 'ward', host: '127.0.0.1', port, receiver, messages: ['RAS^O17'], tls }]
  const read = readFeeds(JSON.stringify({ send }))
  if (!read.ok) throw new Error(read.what)
  const ready = readCertificates(read.feeds)
  return new FeedLine({ host: '127.0.0.1', port, answerMs: 5000, tls: ready.sendTls.get('ward') ?? null })
}

describe('a line under TLS', () => {
  it('carries messages between two that show each other their certificates', async () => {
    const line = lineOf('theirs')
    const sent = await line.send(ADMIT, CONTROL_ID)
    expect(sent).toMatchObject({ kind: 'answered', answer: { verdict: 'accepted', controlId: CONTROL_ID } })
    line.close()
  })

  it('is not opened to a receiver whose certificate is not believed', async () => {
    expect(await lineOf('theirs', 'stranger').send(ADMIT, CONTROL_ID)).toMatchObject({ kind: 'no line' })
  })

  it('takes nothing from a stranger, nor from who speaks no TLS or an old one', async () => {
    const before = await server.ledger.last('larkmere')
    const line = lineOf('stranger')
    expect((await line.send(ORDER, ORDER_ID)).kind).not.toBe('answered')
    line.close()
    const plain = new FeedLine({ host: '127.0.0.1', port, answerMs: 5000, tls: null })
    expect((await plain.send(ORDER, ORDER_ID)).kind).not.toBe('answered')
    plain.close()
    const old = connect({
      host: '127.0.0.1',
      port,
      rejectUnauthorized: false,
      maxVersion: 'TLSv1.1',
      minVersion: 'TLSv1',
    })
    const became = await new Promise((resolve) => {
      old.once('error', () => resolve('refused'))
      old.once('secureConnect', () => resolve('let in'))
    })
    expect(became).toBe('refused')
    expect(await server.ledger.last('larkmere')).toBe(before)
  })

  it('is not begun with a certificate that cannot be read', () => {
    const tls = { key: at('none.key'), certificate: at('ours.pem') }
    const read = readFeeds(JSON.stringify({ listen: { port: 0, tls } }))
    if (!read.ok) throw new Error(read.what)
    expect(() => readCertificates(read.feeds)).toThrow(/none\.key, which cannot be read \(ENOENT\)/)
  })
})
