import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import { QID_ALBUTEROL } from '../../../test/support/facts.ts'
import {
  MINUTE_MS,
  passwordOf,
  refusal,
  START,
  type StaffId,
  type TestServer,
  testServer,
} from '../../../test/support/test-server.ts'
import { PullPatientsAnswer } from '../../api/pull.ts'
import { UploadAnswer } from '../../api/schemas.ts'
import { WINDOWS } from '../../chart/documents/windows.ts'
import type { FactEnvelope } from '../../chart/fact.ts'

const ABOUT = { patientId: 'patient-1', orderId: 'order-1', visitId: 'visit-1' }
const HASH = 'a'.repeat(64)

let server: TestServer
const cookies = {} as Record<StaffId, string>
let seed = 0
const STAFF = ['amsel', 'falk', 'hollen', 'keeper', 'gerlach'] as const
beforeAll(async () => {
  server = await testServer({ staff: STAFF })
  for (const id of STAFF) cookies[id] = await server.signIn(id)
})
afterAll(() => server.close())

const writer = (personId: StaffId) => {
  seed += 1
  return server.writer(personId, seed)
}
const goesOn = (personId: StaffId = 'amsel') => writer(personId).write('treatment-goes-on', ABOUT, {})
const upload = async (
  as: StaffId,
  facts: readonly unknown[],
  sentAt = new Date(server.nowMs()).toISOString(),
) => server.post('/api/facts', cookies[as], { sentAt, facts })
const results = async (as: StaffId, facts: readonly unknown[], sentAt?: string) =>
  UploadAnswer.parse((await upload(as, facts, sentAt)).json()).results
const problems = async (as: StaffId, fact: unknown) => {
  const [result] = await results(as, [fact])
  return result?.status === 'refused'
    ? result.problems.map(({ where, what }) => `${where}: ${what}`)
    : result?.status
}

describe('facts sent by a tablet', () => {
  it('are stored in the order sent, and known when sent again', async () => {
    const last = await server.ledger.last('larkmere')
    const facts = [goesOn(), goesOn()]
    expect(await results('amsel', facts)).toEqual([
      { id: facts[0]?.id, status: 'stored', sequence: last + 1 },
      { id: facts[1]?.id, status: 'stored', sequence: last + 2 },
    ])
    expect((await results('amsel', facts)).map(({ status }) => status)).toEqual(['known', 'known'])
    expect(await server.ledger.last('larkmere')).toBe(last + 2)
  })

  it('are answered one by one: what is refused holds nothing else up', async () => {
    const [good, alien, twice] = [goesOn(), { ...goesOn(), facility: 'otherwhere' }, goesOn()]
    const other = { ...good, body: { more: 'than it may say' } }
    const found = await results('amsel', [good, alien, other, twice, twice])
    expect(found.map(({ status }) => status)).toEqual(['stored', 'refused', 'refused', 'stored', 'known'])
  })

  it('are refused when another text is stored under their id, which is kept', async () => {
    const first = writer('amsel').write('treatment-paused', ABOUT, { reason: 'coughing' })
    await results('amsel', [first])
    expect(await problems('amsel', { ...first, body: { reason: 'resting' } })).toEqual([
      'id: another fact with this id is stored already; it was kept, this one was not',
    ])
  })

  it.each<[string, (fact: FactEnvelope) => object, string]>([
    [
      'another hospital',
      (fact) => ({ ...fact, facility: 'otherwhere' }),
      'facility: this is not your hospital',
    ],
    [
      'another person',
      (fact) => ({ ...fact, by: { personId: 'falk', role: 'therapist' } }),
      'by: a fact is signed by whoever is signed in',
    ],
    [
      'another role',
      (fact) => ({ ...fact, by: { personId: 'amsel', role: 'lead' } }),
      'by: a fact is signed by whoever is signed in',
    ],
    [
      'the program',
      (fact) => ({ ...fact, by: { personId: 'amsel', role: 'system' } }),
      'by: a fact is signed by whoever is signed in',
    ],
    [
      'no visit',
      (fact) => ({ ...fact, about: {} }),
      'about: treatment-goes-on must say its patientId, orderId, visitId',
    ],
    [
      'a version to come',
      (fact) => ({ ...fact, version: 9 }),
      'version: treatment-goes-on 9 is newer than this program reads (1)',
    ],
    [
      'a kind unheard of',
      (fact) => ({ ...fact, kind: 'guessed' }),
      'kind: no kind of fact is called guessed',
    ],
    [
      'a key with a NUL',
      (fact) => ({ ...fact, about: { ...ABOUT, patientId: 'a\0' } }),
      'id: one of its keys holds a sign that cannot be stored',
    ],
  ])('are refused by name from %s', async (_what, change, problem) => {
    const before = await server.ledger.last('larkmere')
    expect(await problems('amsel', change(goesOn()))).toContain(problem)
    expect(await server.ledger.last('larkmere')).toBe(before)
  })

  it('are kept with a time far ahead, beside what the device clock was found to be', async () => {
    const fact = writer('amsel').write(
      'treatment-goes-on',
      ABOUT,
      {},
      { happenedAt: '2031-01-01T00:00:00.000Z' },
    )
    const [stored] = await results('amsel', [fact], new Date(server.nowMs() + 90_000).toISOString())
    expect(stored?.status).toBe('stored')
    const [entry] = await server.ledger.after('larkmere', (await server.ledger.last('larkmere')) - 1, 1)
    expect(entry?.deviceAheadMs).toBe(90_000)
    expect(JSON.parse(entry?.text ?? '')).toMatchObject({ happenedAt: '2031-01-01T00:00:00.000Z' })
  })

  it('are refused as a whole only when the request itself cannot be read', async () => {
    const bad = await upload('amsel', [{ ...goesOn(), id: 'not-an-id' }])
    expect(refusal(bad)).toEqual([400, 'not-valid'])
    expect(bad.json().error.fields).toEqual([{ where: 'facts.0.id', what: expect.any(String) }])
    expect(refusal(await upload('amsel', []))).toEqual([400, 'not-valid'])
    expect(refusal(await upload('amsel', [goesOn()], 'yesterday'))).toEqual([400, 'not-valid'])
    expect(refusal(await server.post('/api/facts', '', { sentAt: START, facts: [goesOn()] }))[0]).toBe(401)
  })

  it('of a learner need a second signature that is not their own', async () => {
    const signed = { printedName: 'Person', contentHash: HASH, covers: [] }
    const note = writer('hollen').write('note-signed', ABOUT, {
      composed: '',
      text: 'Given.',
      meaning: 'gave',
      ...signed,
    })
    expect(await problems('hollen', note)).toBe('stored')
    const cosign = (by: StaffId, signs: string) =>
      writer(by).write('note-cosigned', ABOUT, { signs, note: '', ...signed })
    expect(await problems('hollen', cosign('hollen', note.id))).toEqual([
      'kind: a learner does not write note-cosigned',
      'body.signs: a note is co-signed by somebody else than who signed it',
    ])
    const own = writer('amsel').write('note-signed', ABOUT, {
      composed: '',
      text: 'Given.',
      meaning: 'gave',
      ...signed,
    })
    expect(await problems('amsel', own)).toBe('stored')
    expect(await problems('amsel', cosign('amsel', own.id))).toEqual([
      'body.signs: a note is co-signed by somebody else than who signed it',
    ])
    expect(await problems('gerlach', cosign('gerlach', note.id))).toBe('stored')
  })

  it('cannot raise anybody: a role is changed under People', async () => {
    const staff = (role: 'lead' | 'administrator' | 'therapist', active = true) =>
      writer('falk').write(
        'staff-recorded',
        { personId: 'amsel' },
        { name: 'A', role, signedOffFor: ['children'], active },
      )
    expect(await problems('falk', staff('administrator'))).toEqual([
      'body.role: a role, or whether somebody may sign in, is changed under People',
    ])
    expect(await problems('falk', staff('therapist', false))).toHaveLength(1)
    expect(await problems('falk', staff('therapist'))).toBe('stored')
  })

  it('carry a department document only when it is one', async () => {
    const adopt = (document: string, content: unknown) =>
      writer('keeper').write(
        'document-adopted',
        { document },
        { edition: '2', content, approvedBy: 'M. Director', note: '' },
      )
    expect(await problems('keeper', adopt('windows', WINDOWS.defaults))).toBe('stored')
    expect(await problems('keeper', adopt('weather', {}))).toEqual([
      'about.document: there is no document weather',
    ])
    const broken = await problems('keeper', adopt('windows', { ...WINDOWS.defaults, classes: {} }))
    expect(broken?.[0]).toMatch(/^body\.content\.classes/)
  })
})

describe('facts that a locked tablet sends', () => {
  beforeEach(async () => {
    cookies.amsel = await server.signIn('amsel')
  })

  it('are taken when they were written before the lock, by the server clock', async () => {
    const before = goesOn()
    server.later(MINUTE_MS)
    await server.post('/api/lock', cookies.amsel)
    server.later(3 * MINUTE_MS)
    expect((await results('amsel', [before]))[0]?.status).toBe('stored')
    expect(refusal(await upload('amsel', [goesOn()]))).toEqual([423, 'locked'])
    // A tablet whose clock is ten minutes fast wrote this one before the lock all the same.
    const fast = {
      ...before,
      id: goesOn().id,
      recordedAt: new Date(server.nowMs() + 6 * MINUTE_MS).toISOString(),
    }
    const sentAt = new Date(server.nowMs() + 10 * MINUTE_MS).toISOString()
    expect((await results('amsel', [fast], sentAt))[0]?.status).toBe('stored')
  })

  it('are kept back whole when one of them was written after it, and taken once it is unlocked', async () => {
    await server.post('/api/pin', cookies.amsel, { password: passwordOf('amsel'), pin: '284617' })
    const before = goesOn()
    await server.post('/api/lock', cookies.amsel)
    server.later(MINUTE_MS)
    const batch = [before, goesOn()]
    const last = await server.ledger.last('larkmere')
    expect(refusal(await upload('amsel', batch))).toEqual([423, 'locked'])
    expect(await server.ledger.last('larkmere')).toBe(last)
    await server.post('/api/unlock', cookies.amsel, { pin: '284617' })
    expect((await results('amsel', batch)).map(({ status }) => status)).toEqual(['stored', 'stored'])
  })
})

describe('the ledger that they went into', () => {
  it('tells each as it was sent', async () => {
    const facts = [goesOn(), goesOn(), goesOn()]
    await results('amsel', facts)
    const asked = { device: 'tablet-1', waiting: 0, ids: [ABOUT.patientId] }
    const reply = await server.post('/api/pull/patients', cookies.falk, asked)
    const { entries } = PullPatientsAnswer.parse(reply.json())
    expect(entries.slice(-3).map(({ fact }) => fact)).toEqual(facts)
  })

  it('is given to nobody by the whole, but as an export', async () => {
    expect(refusal(await server.get('/api/facts', cookies.falk))).toEqual([404, 'not-there'])
  })

  it('can be re-computed: verify says whole, and names what was changed', async () => {
    await results('amsel', [writer('amsel').write('treatment-paused', ABOUT, { reason: 'coughing' })])
    const whole = (await server.get('/api/verify', cookies.amsel)).json()
    expect(whole).toMatchObject({ kind: 'whole', entries: await server.ledger.last('larkmere') })
  })

  it('comes as lines for another program, and who took them is noted first', async () => {
    const reply = await server.get('/api/export/facts.ndjson', cookies.falk)
    expect(reply.headers['content-type']).toBe('application/x-ndjson')
    const lines = reply.body
      .trim()
      .split('\n')
      .map((line) => JSON.parse(line))
    expect(lines).toHaveLength(await server.ledger.last('larkmere'))
    expect(JSON.parse(lines[0].text)).toMatchObject({ id: lines[0].factId })
    const notes = await server.ledger.accessAfter('larkmere', 0, 10_000, 'falk')
    expect(notes.at(-1)?.what).toBe('export facts')
  })
})

it('an order cannot be slipped in as a fact', async () => {
  const placed = writer('amsel').write('order-placed', ABOUT, { order: QID_ALBUTEROL, channel: 'hand' })
  expect(await problems('amsel', placed)).toEqual(['kind: a therapist does not write order-placed'])
})
