import { createHash } from 'node:crypto'
import fc from 'fast-check'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { PullAnswer, PullPatientsAnswer } from '../../src/api/pull.ts'
import type { LedgerEntryTold } from '../../src/api/schemas.ts'
import { LiveChart } from '../../src/server/live-chart.ts'
import { ShiftScope } from '../../src/server/shift-scope.ts'
import { stillCounting } from '../../src/server/still-counting.ts'
import { openDatabase } from '../../src/store/database.ts'
import { Ledger } from '../../src/store/ledger.ts'
import { Disturbed, Hospital, SCENES, type Scene, type UNITS } from './happenings.ts'
import { PulledRecord } from './pulled-record.ts'
import { HERE, refusal, type TestServer, testServer } from './test-server.ts'

const HOUR_MS = 3_600_000
/** Sessions that outlive most of the weeks that pass here. */
const LONG = { idleMinutes: 300 * 24 * 60, longestHours: 300 * 24 }
const BEGIN = { device: 'tablet-1', waiting: 0, after: 0, mark: null, from: 0, scope: null, beside: [] }

/** What a tablet takes over, whichever database the server stands on. */
export function pullSuite(name: string, newAddress: () => Promise<string>): void {
  describe(`what concerns the shift, pulled from ${name}`, () => {
    let server: TestServer
    let beside: Ledger
    let disturbed: Disturbed
    let hospital: Hospital
    let cookie: string
    const open = async () => {
      const address = await newAddress()
      beside = new Ledger(openDatabase(address))
      disturbed = new Disturbed(beside)
      server = await testServer({
        address,
        staff: ['amsel'],
        people: LONG,
        parts: { ledger: disturbed.ledger },
      })
      hospital = new Hospital(server.ledger, server.nowMs)
      cookie = await server.signIn('amsel')
    }
    const close = async () => {
      await server.close()
      await beside.close()
    }
    beforeEach(open)
    afterEach(close)

    const post = async (path: string, body: object) => {
      const reply = await server.post(path, cookie, body)
      if (reply.statusCode !== 401) return reply
      cookie = await server.signIn('amsel')
      return server.post(path, cookie, body)
    }
    const record = () => new PulledRecord(async (path, body) => (await post(path, body)).json())
    const pull = async (more: object = {}) =>
      PullAnswer.parse((await post('/api/pull', { ...BEGIN, ...more })).json())
    const patients = async (...ids: string[]) =>
      PullPatientsAnswer.parse(
        (await post('/api/pull/patients', { device: 'tablet-1', waiting: 0, ids })).json(),
      )
    const entriesOf = (answer: PullAnswer) => {
      if (answer.kind !== 'entries') throw new Error('a set was told')
      return answer
    }
    const kindsOf = (entries: readonly LedgerEntryTold[]) => entries.map(({ fact }) => fact.kind)
    const hoursLater = (hours: number) => server.later(hours * HOUR_MS)
    const assigned = (...units: (typeof UNITS)[number][]) => hospital.happens({ what: 'assigned', units })
    const ordered = (patient: 'p0' | 'p1' | 'p2' | 'p3' | 'p4') =>
      hospital.happens({ what: 'ordered', patient, finding: false })
    /** The set that another server would name, which was started only now. */
    const elsewhere = () => {
      const { ledger, nowMs } = server
      return new ShiftScope({ ledger, facility: HERE, chart: new LiveChart(ledger, HERE), nowMs }).now()
    }
    const shift = async () => [...(await elsewhere()).patients]

    it('begins with nothing where there is nothing', async () => {
      expect(await pull()).toEqual({
        kind: 'entries',
        entries: [],
        upTo: 0,
        mark: null,
        last: 0,
        more: false,
      })
    })

    it('begins with what is about nobody and still counts, and with no more', async () => {
      await hospital.store(
        hospital.write(
          'staff-recorded',
          { personId: 'amsel' },
          { name: 'A', role: 'therapist', signedOffFor: [], active: true },
        ),
        hospital.received('old-undone', true),
        hospital.received('old-settled', true),
        hospital.received('old-done', false),
        hospital.census('p0', 'admitted', 'EAST'),
      )
      await assigned('EAST')
      await hospital.happens({ what: 'handed over' })
      await hospital.happens({ what: 'composed', patient: 'p0', number: 0 })
      await hospital.happens({ what: 'answered', number: 0, outcome: 'refused' })
      hoursLater(73)
      await hospital.store(
        hospital.received('new-undone', true),
        hospital.received('new-done', false),
        hospital.write(
          'item-settled',
          {},
          { item: 'message:old-settled', how: 'not-for-us', note: 'seen to' },
        ),
      )
      await hospital.happens({ what: 'handed over' })
      const { entries, upTo, mark, more, last } = entriesOf(await pull())
      expect(
        entries.map(({ fact }) => fact.about.messageId ?? fact.about.handoverId ?? fact.about.personId),
      ).toEqual(['amsel', 'old-undone', 'amsel', 'new-undone', undefined, 'h2'])
      expect({ upTo, mark, more, last }).toEqual({
        upTo: last,
        mark: await server.ledger.hashAt(HERE, last),
        more: false,
        last: 13,
      })
    })

    it('begins page by page: two thousand entries or four million signs of text, or one that is longer by itself', async () => {
      await hospital.store(
        ...Array.from({ length: 4100 }, () =>
          hospital.write(
            'shift-assigned',
            { personId: 'amsel' },
            { from: '2026-03-10T12:00:00.000Z', to: '2026-03-10T13:00:00.000Z', units: [] },
          ),
        ),
      )
      const long = (messageId: string, length: number) =>
        hospital.received(messageId, true, 'x'.repeat(length))
      await hospital.store(long('m1', 2_500_000), long('m2', 2_500_000), long('m3', 3_999_000))
      const pages = [entriesOf(await pull())]
      while (pages.at(-1)?.more) {
        const from = pages.at(-1)?.entries.at(-1)?.sequence ?? 0
        const mark = await server.ledger.hashAt(HERE, from)
        expect(pages.at(-1)).toMatchObject({ upTo: 0, mark, last: 4103 })
        pages.push(entriesOf(await pull({ from, mark })))
      }
      expect(pages.map(({ entries }) => entries.length)).toEqual([2000, 2000, 101, 1, 1])
      expect(pages.flatMap(({ entries }) => entries.map(({ sequence }) => sequence))).toEqual(
        Array.from({ length: 4103 }, (_, at) => at + 1),
      )
      expect(pages.at(-1)).toMatchObject({ upTo: 4103, more: false })
    })

    it('names the set by its patients, and tells no entry to whoever names another', async () => {
      await hospital.store(hospital.census('p1', 'admitted', 'EAST'), hospital.census('p0', 'admitted'))
      const mark = await server.ledger.hashAt(HERE, 2)
      const scope = createHash('sha256').update('p0\np1\n').digest('hex')
      for (const other of [null, 'a'.repeat(64)])
        expect(await pull({ after: 2, mark, scope: other })).toEqual({
          kind: 'scope',
          scope,
          patients: ['p0', 'p1'],
          last: 2,
        })
      expect(await pull({ after: 2, mark, scope })).toMatchObject({ kind: 'entries', upTo: 2, mark })
    })

    it('goes on with what is about nobody, about the set and about whom the tablet holds beside it', async () => {
      const unitless = { ...hospital.census('p4', 'admitted', 'NORTH') }
      await hospital.store(
        hospital.write(
          'staff-recorded',
          { personId: 'amsel' },
          { name: 'A', role: 'therapist', signedOffFor: [], active: true },
        ),
        hospital.census('p0', 'admitted', 'EAST'),
        hospital.census('p1', 'admitted', 'WEST'),
        hospital.census('p2', 'admitted', 'WEST'),
        unitless,
      )
      await assigned('EAST')
      expect(await shift()).toEqual(['p0'])
      const { hash } = await elsewhere()
      const mark = await server.ledger.hashAt(HERE, 6)
      await hospital.store(
        hospital.census('p2', 'updated'),
        hospital.census('p1', 'updated'),
        hospital.received('done', false),
        hospital.census('p0', 'updated'),
        hospital.received('undone', true),
        hospital.received('settled', true),
        hospital.write('item-settled', {}, { item: 'message:settled', how: 'answered', note: 'seen to' }),
        hospital.census('p4', 'updated'),
      )
      await hospital.happens({ what: 'answered', number: 9 as 3, outcome: 'taken' })
      await hospital.store(hospital.census('p4', 'updated'))
      const answer = entriesOf(await pull({ after: 6, mark, scope: hash, beside: ['p1', 'nobody'] }))
      expect(answer.entries.map(({ sequence }) => sequence)).toEqual([8, 10, 11, 13, 15])
      expect(answer).toMatchObject({
        upTo: 16,
        mark: await server.ledger.hashAt(HERE, 16),
        last: 16,
        more: false,
      })
      const rest = await pull({ after: 16, mark: answer.mark, scope: hash })
      expect(rest).toMatchObject({ entries: [], upTo: 16, mark: answer.mark, more: false })
    })

    it('brings a tablet up to date in one request that is thousands of entries behind, of which few concern it', async () => {
      await hospital.store(
        hospital.write(
          'staff-recorded',
          { personId: 'amsel' },
          { name: 'A', role: 'therapist', signedOffFor: [], active: true },
        ),
        hospital.census('p0', 'admitted', 'EAST'),
        hospital.census('p1', 'admitted', 'WEST'),
      )
      await assigned('EAST')
      const tablet = record()
      await tablet.settle()
      const about = { patientId: 'p1', orderId: 'o', visitId: 'v' }
      const others = Array.from({ length: 4500 }, () => hospital.write('treatment-goes-on', about, {}))
      await hospital.store(...others, hospital.census('p0', 'updated'))
      // An order that is not over would bring p1 in; a word about a visit does not.
      expect(await shift()).toEqual(['p0'])
      expect(await tablet.step()).toBe('quiet')
      expect(tablet.patients.get('p0')?.size).toBe(2)
      expect(tablet.cursor).toBe(await server.ledger.last(HERE))
    })

    it('gives patients whole, with the answers to messages about them, and of unknown ones nothing', async () => {
      await hospital.store(hospital.census('p0', 'admitted', 'EAST'), hospital.census('p1', 'admitted'))
      await hospital.happens({ what: 'composed', patient: 'p0', number: 1 })
      await hospital.happens({ what: 'composed', patient: 'p1', number: 2 })
      await hospital.happens({ what: 'answered', number: 1, outcome: 'refused' })
      await hospital.happens({ what: 'answered', number: 2, outcome: 'taken' })
      await hospital.happens({ what: 'answered', number: 1, outcome: 'taken' })
      const { entries, upTo } = await patients('p0', 'stranger', 'p0')
      expect(entries.map(({ sequence }) => sequence)).toEqual([1, 3, 5, 7])
      expect(upTo).toBe(7)
      expect(await patients('stranger')).toEqual({ entries: [], upTo: 7 })
      const many = Array.from({ length: 51 }, (_, at) => `p${at}`)
      const body = { device: 'tablet-1', waiting: 0 }
      expect(refusal(await post('/api/pull/patients', { ...body, ids: many }))).toEqual([400, 'not-valid'])
      expect(refusal(await post('/api/pull/patients', { ...body, ids: [] }))).toEqual([400, 'not-valid'])
    })

    it('refuses a tablet that knows another line: after its end, after another entry, or without a mark', async () => {
      await hospital.store(hospital.census('p0', 'admitted'), hospital.census('p0', 'updated'))
      const [first, mark] = [await server.ledger.hashAt(HERE, 1), await server.ledger.hashAt(HERE, 2)]
      for (const where of ['after', 'from']) {
        for (const asked of [{ [where]: 3, mark }, { [where]: 2, mark: first }, { [where]: 2 }])
          expect(refusal(await post('/api/pull', { ...BEGIN, ...asked }))).toEqual([409, 'another-line'])
        expect((await post('/api/pull', { ...BEGIN, [where]: 2, mark })).statusCode).toBe(200)
      }
    })

    it('notices a ledger brought back from an older copy between two pages of a beginning, wherever it then goes on from', async () => {
      const long = (messageId: string) => hospital.received(messageId, true, 'x'.repeat(2_500_000))
      const before = [long('m1'), long('m2'), long('m3')]
      const instead = [long('n1'), long('n2'), long('n3')]
      await hospital.store(...before)
      const tablet = record()
      for (let page = 0; page < 2; page += 1) expect(await tablet.step()).toBe('more')
      expect(tablet.entries().map(({ sequence }) => sequence)).toEqual([1, 2])
      const goesOnFrom = async (kept: number) => {
        await close()
        await open()
        await hospital.store(...before.slice(0, kept), ...instead)
      }
      // The copy holds what the tablet was told: it goes on, with what came instead.
      await goesOnFrom(2)
      expect(await tablet.step()).toBe('more')
      expect(tablet.entries().map(({ fact }) => fact.about.messageId)).toEqual(['m1', 'm2', 'n1'])
      // The next does not hold all of it, and is longer by now than what the tablet was told.
      await goesOnFrom(1)
      await expect(tablet.step()).rejects.toThrow('what was taken over before is not in the ledger any more')
      const anew = record()
      await anew.settle()
      expect(anew.entries().map(({ fact }) => fact.about.messageId)).toEqual(['m1', 'n1', 'n2', 'n3'])
    })

    it('is refused to a tablet that names too many patients, or patients without an id', async () => {
      const beside = (count: number) => Array.from({ length: count }, (_, at) => `p${at}`)
      const asked = (ids: readonly string[]) => post('/api/pull', { ...BEGIN, beside: ids })
      expect((await asked(beside(5000))).statusCode).toBe(200)
      for (const ids of [beside(5001), [''], ['p'.repeat(201)]])
        expect(refusal(await asked(ids))).toEqual([400, 'not-valid'])
      const whole = (ids: readonly string[]) => post('/api/pull/patients', { device: 'x', waiting: 0, ids })
      expect((await whole(beside(50))).statusCode).toBe(200)
      for (const ids of [[''], ['p'.repeat(201)]])
        expect(refusal(await whole(ids))).toEqual([400, 'not-valid'])
    })

    it.each([
      { after: -1 },
      { after: '1' },
      { from: 0.5 },
      { mark: 'xyz' },
      { scope: 'EAST' },
      { waiting: -1 },
      { limit: 5 },
    ])('is not answered for %o', async (asked) => {
      expect(refusal(await post('/api/pull', { ...BEGIN, ...asked }))).toEqual([400, 'not-valid'])
    })

    it('is of this facility alone: patients of another on the same database are given by no way of asking', async () => {
      const theirs = { ...hospital.census('p0', 'admitted', 'EAST'), facility: 'otherton' }
      const about = { ...hospital.received('m', true), facility: 'otherton' }
      const receivedAt = new Date(server.nowMs()).toISOString()
      await server.ledger.append('otherton', { facts: [theirs, about], receivedAt, deviceAheadMs: null })
      await hospital.store(hospital.census('p1', 'admitted', 'EAST'))
      const { hash } = await elsewhere()
      expect(await shift()).toEqual(['p1'])
      expect(await patients('p0')).toEqual({ entries: [], upTo: 1 })
      expect(entriesOf(await pull()).entries).toEqual([])
      const mark = await server.ledger.hashAt(HERE, 1)
      await hospital.store(hospital.census('p1', 'updated'))
      const { entries } = entriesOf(await pull({ after: 1, mark, scope: hash, beside: ['p0'] }))
      expect(entries.map(({ fact }) => fact.about.patientId)).toEqual(['p1'])
      // Their ledger has two entries: its mark is that of another line here.
      const foreign = await server.ledger.hashAt('otherton', 2)
      expect(refusal(await post('/api/pull', { ...BEGIN, after: 2, mark: foreign }))).toEqual([
        409,
        'another-line',
      ])
    })

    it('tells a locked tablet nothing', async () => {
      await hospital.store(hospital.census('p0', 'admitted'))
      await post('/api/lock', {})
      expect(refusal(await post('/api/pull', BEGIN))).toEqual([423, 'locked'])
      expect(refusal(await post('/api/pull/patients', { device: 'x', waiting: 0, ids: ['p0'] }))).toEqual([
        423,
        'locked',
      ])
    })

    it('notes who was told what, of which patients, and nothing where nothing was told; and hears of the tablet', async () => {
      const id = `patient-${'0123456789ab'.repeat(2)}`
      await post('/api/tablet', { device: 'tablet-1' })
      await hospital.store(
        hospital.census('p0', 'admitted'),
        hospital.census(id, 'admitted'),
        hospital.received('m', true),
      )
      const tablet = record()
      await tablet.settle()
      await hospital.store(
        hospital.census(id, 'updated'),
        hospital.census('p0', 'updated'),
        hospital.census(id, 'updated'),
      )
      await tablet.step(7)
      await tablet.step()
      await patients('stranger')
      const notes = await server.ledger.accessAfter(HERE, 0, 1000, 'amsel')
      expect(
        notes.map(({ what, about }) => [what, about]).filter(([what]) => what?.startsWith('read')),
      ).toEqual([
        ['read facts', '3 to 3'],
        ['read patients', `p0 ${id}`],
        ['read facts', `4 to 6 of p0 ${id}`],
      ])
      const heard = await server.people.db.selectFrom('tablet').selectAll().executeTakeFirstOrThrow()
      expect(heard).toMatchObject({ device_id: 'tablet-1', person_id: 'amsel', waiting: 0 })
      await tablet.step(7)
      expect((await server.people.db.selectFrom('tablet').selectAll().execute())[0]?.waiting).toBe(7)
    })

    it('is of the units of the shift, of those whose unit nobody knows, and of whom nobody else would see to', async () => {
      await hospital.store(
        hospital.write(
          'staff-recorded',
          { personId: 'amsel' },
          { name: 'A', role: 'therapist', signedOffFor: [], active: true },
        ),
        hospital.census('p0', 'admitted', 'EAST'),
        hospital.census('p1', 'admitted', 'WEST'),
        hospital.census('p2', 'admitted'),
        hospital.census('p3', 'admitted', 'NORTH'),
        hospital.census('p4', 'admitted', 'NORTH'),
      )
      expect(await shift()).toEqual(['p0', 'p1', 'p2', 'p3', 'p4'])
      await assigned('EAST')
      expect(await shift()).toEqual(['p0', 'p2'])
      await ordered('p1')
      await hospital.happens({ what: 'pinned', patient: 'p3', next: true })
      expect(await shift()).toEqual(['p0', 'p1', 'p2', 'p3'])
      await hospital.happens({ what: 'stopped', patient: 'p1' })
      hoursLater(0.1)
      expect(await shift()).toEqual(['p0', 'p2', 'p3'])
    })

    it('keeps whoever has something open under Settle: on another unit while live, by a message given up for as long as it is', async () => {
      await hospital.store(
        hospital.write(
          'staff-recorded',
          { personId: 'amsel' },
          { name: 'A', role: 'therapist', signedOffFor: [], active: true },
        ),
        hospital.census('p0', 'admitted', 'WEST'),
        hospital.census('p1', 'admitted', 'WEST'),
      )
      await ordered('p0')
      await hospital.happens({ what: 'ordered', patient: 'p0', finding: true })
      await hospital.happens({ what: 'composed', patient: 'p1', number: 1 })
      await hospital.happens({ what: 'answered', number: 1, outcome: 'refused' })
      await hospital.store(hospital.census('p0', 'discharged'), hospital.census('p1', 'discharged'))
      hoursLater(24)
      await assigned('EAST')
      // It is asked here all along, so that this server holds what it once loaded.
      const tablet = record()
      await tablet.settle()
      expect([...tablet.scope]).toEqual(['p0', 'p1'])
      hoursLater(49)
      await assigned('EAST')
      await tablet.settle()
      expect([[...tablet.scope], await shift()]).toEqual([['p1'], ['p1']])
      hoursLater(30 * 24)
      await assigned('EAST')
      await tablet.settle()
      expect([[...tablet.scope], await shift()]).toEqual([['p1'], ['p1']])
      await hospital.happens({ what: 'settled', number: 1, of: 'outgoing:m' })
      await tablet.settle()
      expect([[...tablet.scope], await shift()]).toEqual([[], []])
      expect(tablet.patients.size).toBe(0)
    })

    it('leaves nothing out, whatever happens before, between and in the middle of requests', async () => {
      const seen = { scopes: 0, left: 0, kept: 0 }
      let isOpen = true
      const property = fc.asyncProperty(SCENES, async (scenes) => {
        if (!isOpen) await open()
        isOpen = true
        try {
          const tablet = record()
          for (const scene of scenes) await act(scene, tablet, seen)
          await tablet.settle()
          await expectWhole(tablet)
        } finally {
          await close()
          isOpen = false
        }
      })
      try {
        await fc.assert(property, { numRuns: RUNS, seed: SEED, endOnFailure: false })
      } finally {
        if (!isOpen) await open()
      }
      // The hospitals were lively enough to prove something.
      expect(seen.scopes).toBeGreaterThan(RUNS)
      expect(seen.left).toBeGreaterThan(RUNS / 5)
      expect(seen.kept).toBeGreaterThan(RUNS / 10)
    }, 240_000)

    async function act(
      scene: Scene,
      tablet: PulledRecord,
      seen: { scopes: number; left: number; kept: number },
    ) {
      switch (scene.kind) {
        case 'happens':
          return hospital.happens(scene.happening)
        case 'later':
          return hoursLater(scene.hours)
        case 'keeps':
          tablet.kept[scene.still ? 'add' : 'delete'](scene.patient)
          return
        case 'asks': {
          const before = { scope: tablet.scope, held: tablet.patients.size }
          const { during } = scene
          const ask = async () => void (await tablet.step())
          if (during) await disturbed.during(during.read, () => hospital.happens(during.what), ask)
          else await ask()
          if (tablet.scope !== before.scope) seen.scopes += 1
          if (tablet.patients.size < before.held) seen.left += 1
          if ([...tablet.patients.keys()].some((id) => !tablet.scope.has(id))) seen.kept += 1
        }
      }
    }

    /** The tablet holds the set that any server would name, each of it whole, and all that counts about nobody. */
    async function expectWhole(tablet: PulledRecord): Promise<void> {
      const last = await server.ledger.last(HERE)
      expect(tablet.cursor).toBe(last)
      if (last === 0) return
      expect([...tablet.scope]).toEqual(await shift())
      expect([...tablet.patients.keys()]).toEqual(expect.arrayContaining([...tablet.scope]))
      for (const [id, held] of tablet.patients) {
        expect(tablet.scope.has(id) || tablet.kept.has(id)).toBe(true)
        const all = await server.ledger.about(HERE, 'patient', id)
        expect([id, [...held.keys()].sort((a, b) => a - b)]).toEqual([
          id,
          all.map(({ sequence }) => sequence),
        ])
        expect([...held.values()].map(({ fact }) => fact.id).sort()).toEqual(
          all.map(({ factId }) => factId).sort(),
        )
        const messages = [...held.values()].flatMap(({ fact }) => fact.about.messageId ?? [])
        const answers = await server.ledger.underAny(HERE, 'message', messages, 'message-answered')
        for (const { sequence } of answers) expect(tablet.nobody.has(sequence)).toBe(true)
      }
      for (const sequence of await stillCounting(server.ledger, HERE, server.nowMs()))
        expect([sequence, tablet.nobody.has(sequence)]).toEqual([sequence, true])
      for (const { fact } of tablet.nobody.values())
        if (fact.kind === 'message-received')
          expect((fact.body as { problems: unknown[] }).problems.length).toBe(1)
      expect(kindsOf([...tablet.nobody.values()])).not.toContain('census-updated')
    }
  })
}

/** How many hospitals are tried; `SEED` tries others. */
const RUNS = Number(process.env.RUNS ?? 40)
const SEED = Number(process.env.SEED ?? 1)
