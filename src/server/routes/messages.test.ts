import { readFileSync } from 'node:fs'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { QID_ALBUTEROL } from '../../../test/support/facts.ts'
import { refusal, type TestServer, testServer } from '../../../test/support/test-server.ts'
import { MessageAnswers } from '../../api/schemas.ts'
import { idOfNumber } from '../../chart/ids.ts'
import { verifyLedger } from '../../store/verify.ts'

const sample = (name: string) => readFileSync(`src/exchange/hl7/test-data/${name}.hl7`, 'utf8')
const ADMIT = sample('01-adt-a01-admit')
const ORDER = sample('05-rde-new-qid')

let server: TestServer
let cookie: string
beforeEach(async () => {
  server = await testServer({ staff: ['amsel'] })
  cookie = await server.signIn('amsel')
})
afterEach(() => server.close())

const bring = async (text: string) =>
  MessageAnswers.parse((await server.post('/api/messages', cookie, { channel: 'hl7v2', text })).json())
    .answers
const kinds = async () => {
  const facts: string[] = []
  for await (const { text } of server.ledger.entries('larkmere')) facts.push(JSON.parse(text).kind)
  return facts
}

describe('messages brought in', () => {
  it('become facts and an answer, and are kept whole', async () => {
    const [answer] = await bring(ADMIT)
    expect(answer).toMatchObject({ code: 'AA', type: 'ADT^A01', replayed: false })
    expect((await kinds()).sort()).toEqual(['census-updated', 'message-received'])
    const [entry] = (await server.ledger.after('larkmere', 0, 10)).filter(({ text }) =>
      text.includes('"raw"'),
    )
    expect(JSON.parse(entry?.text ?? '').body.raw.trim()).toBe(ADMIT.trim())
    expect(JSON.parse(entry?.text ?? '').by).toEqual({ personId: 'feed', role: 'system' })
  })

  it('get the first answer again, and make nothing, when they come twice: even at the same time', async () => {
    const both = await Promise.all([bring(ADMIT), bring(ADMIT)])
    expect(
      both
        .flat()
        .map(({ replayed }) => replayed)
        .sort(),
    ).toEqual([false, true])
    const before = await kinds()
    expect((await bring(ADMIT))[0]).toMatchObject({ code: 'AA', replayed: true, made: [] })
    expect((await kinds()).filter((kind) => kind === 'census-updated')).toHaveLength(1)
    expect((await kinds()).length - before.length).toBeLessThanOrEqual(1)
  })

  it('are read anew when other facts are stored meanwhile, and nothing is lost or made twice', async () => {
    const facts = Array.from({ length: 40 }, (_, at) =>
      server
        .writer('amsel', 100 + at)
        .write('treatment-goes-on', { patientId: 'p', orderId: 'o', visitId: 'v' }, {}),
    )
    const uploads = facts.map((fact) =>
      server.post('/api/facts', cookie, { sentAt: new Date(server.nowMs()).toISOString(), facts: [fact] }),
    )
    const [answers] = await Promise.all([bring(`${ADMIT}\r${ORDER}`), ...uploads])
    expect(answers.map(({ code }) => code)).toEqual(['AA', 'AA'])
    const found = await kinds()
    expect(found.filter((kind) => kind === 'treatment-goes-on')).toHaveLength(40)
    expect(found.filter((kind) => kind === 'order-placed')).toHaveLength(1)
    expect(found.filter((kind) => kind === 'message-received')).toHaveLength(2)
    expect((await verifyLedger(server.ledger, 'larkmere')).kind).toBe('whole')
  })

  it('are kept and answered with an error when they cannot be used', async () => {
    const [answer] = await bring(sample('bad-01-no-patient-id'))
    expect(answer).toMatchObject({ code: 'AE', made: [] })
    expect(answer?.problems.length).toBeGreaterThan(0)
    expect(await kinds()).toEqual(['message-received'])
  })

  it('are not taken through a channel that there is not, or empty', async () => {
    for (const body of [
      { channel: 'fax', text: 'x' },
      { channel: 'hl7v2', text: '' },
    ]) {
      expect(refusal(await server.post('/api/messages', cookie, body))).toEqual([400, 'not-valid'])
    }
    expect(await kinds()).toEqual([])
  })
})

describe('an order by hand', () => {
  const enter = (patientId: string) => server.post('/api/orders', cookie, { patientId, order: QID_ALBUTEROL })

  it('is stored with its review for a patient that the census knows', async () => {
    await bring(ADMIT)
    const reply = await enter(idOfNumber('patient', 'larkmere', 'MB004417'))
    expect(MessageAnswers.parse(reply.json()).answers[0]).toMatchObject({ code: 'AA' })
    expect((await kinds()).slice(2).sort()).toEqual(['message-received', 'order-placed', 'order-reviewed'])
  })

  it('is not taken for anybody else', async () => {
    expect(refusal(await enter('patient-nobody'))).toEqual([404, 'not-there'])
    expect(await kinds()).toEqual([])
  })
})
