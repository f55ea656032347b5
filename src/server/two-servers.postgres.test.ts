import { readFileSync } from 'node:fs'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { startPostgres, type ThrowawayPostgres } from '../../test/support/postgres.ts'
import { type TestServer, testServer } from '../../test/support/test-server.ts'
import { MessageAnswers } from '../api/schemas.ts'
import { verifyLedger } from '../store/verify.ts'

let postgres: ThrowawayPostgres
let one: TestServer
let two: TestServer
beforeAll(async () => {
  postgres = await startPostgres()
  const address = await postgres.newDatabase()
  one = await testServer({ address, staff: ['amsel'], door: 1 })
  two = await testServer({ address, staff: [], door: 2 })
}, 60_000)
afterAll(async () => {
  await one?.close()
  await two?.close()
  await postgres?.close()
})

describe('two servers on one database', () => {
  it('share sessions and locks', async () => {
    const cookie = await one.signIn('amsel')
    expect((await two.get('/api/me', cookie)).json()).toMatchObject({ personId: 'amsel', locked: false })
    await two.post('/api/lock', cookie)
    expect((await one.get('/api/learned', cookie)).statusCode).toBe(423)
  })

  it('take a message that reaches both at once only once', async () => {
    const cookie = await one.signIn('amsel')
    const text = readFileSync('src/exchange/hl7/test-data/01-adt-a01-admit.hl7', 'utf8')
    const body = { channel: 'hl7v2', text }
    const replies = await Promise.all(
      [one, two, one, two].map((server) => server.post('/api/messages', cookie, body)),
    )
    const answers = replies.flatMap((reply) => MessageAnswers.parse(reply.json()).answers)
    expect(answers.map(({ code }) => code)).toEqual(['AA', 'AA', 'AA', 'AA'])
    expect(answers.filter(({ replayed }) => !replayed)).toHaveLength(1)
    const kinds = (await one.ledger.after('larkmere', 0, 100)).map(({ text: fact }) => JSON.parse(fact).kind)
    expect(kinds.filter((kind) => kind === 'census-updated')).toHaveLength(1)
  })

  it('keep one gap-free chain while both take facts', async () => {
    const cookie = await two.signIn('amsel')
    const about = { patientId: 'p', orderId: 'o', visitId: 'v' }
    const before = await one.ledger.last('larkmere')
    const uploads = Array.from({ length: 40 }, (_, at) => {
      const server = at % 2 === 0 ? one : two
      const facts = [server.writer('amsel', 500 + at).write('treatment-goes-on', about, {})]
      return server.post('/api/facts', cookie, { sentAt: new Date(server.nowMs()).toISOString(), facts })
    })
    const numbers = (await Promise.all(uploads)).map((reply) => reply.json().results[0].sequence)
    expect(numbers.toSorted((a, b) => a - b)).toEqual(numbers.map((_, at) => before + at + 1))
    expect(await verifyLedger(two.ledger, 'larkmere')).toMatchObject({ kind: 'whole', entries: before + 40 })
  })
})
