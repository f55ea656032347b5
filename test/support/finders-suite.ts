import { beforeEach, describe, expect, it } from 'vitest'
import type { AnyFact, BodyOf } from '../../src/chart/registry.ts'
import { LiveChart } from '../../src/server/live-chart.ts'
import { OnDemand } from '../../src/server/on-demand.ts'
import { type OpenDatabase, openDatabase } from '../../src/store/database.ts'
import { fileAnew, refile } from '../../src/store/finders.ts'
import { Ledger } from '../../src/store/ledger.ts'
import { migrate } from '../../src/store/steps.ts'
import { QID_ALBUTEROL, TestWriter } from './facts.ts'

const HERE = 'larkmere'
const day = (number: number) => `2026-03-${String(number).padStart(2, '0')}T12:00:00.000Z`
const WINDOW = { touchedSince: day(7), hereSince: '2026-02-01T00:00:00.000Z' }

/** What is found without reading the whole ledger, whichever database it stands on. */
export function findersSuite(name: string, newAddress: () => Promise<string>): void {
  describe(`finding in a ledger on ${name}`, () => {
    let open: OpenDatabase
    let ledger: Ledger
    const writer = new TestWriter(day(1))

    beforeEach(async () => {
      open = openDatabase(await newAddress())
      await migrate(open.db, open.kind, day(1))
      ledger = new Ledger(open)
      return () => ledger.close()
    })

    const store = (number: number, facts: readonly AnyFact[]) =>
      ledger.append(HERE, { facts, receivedAt: day(number), deviceAheadMs: null })
    const census = (
      patientId: string,
      event: 'admitted' | 'discharged',
      unit?: string,
      happenedAt?: string,
    ) => {
      const place = unit === undefined ? {} : { place: { unit, room: '1', bed: 'A' } }
      const patch = event === 'admitted' ? { mrn: patientId, ...place } : place
      return writer.write(
        'census-updated',
        { patientId },
        { event, patch },
        { happenedAt: happenedAt ?? day(1) },
      )
    }
    const away = (patientId: string) => writer.write('patient-away', { patientId }, { reason: 'imaging' })
    const order = (patientId: string) =>
      writer.write(
        'order-placed',
        { patientId, orderId: `${patientId}-o` },
        { order: QID_ALBUTEROL, channel: 'hand' },
      )
    const composed = (messageId: string, patientId: string) =>
      writer.write(
        'message-composed',
        { messageId, patientId, orderId: `${patientId}-o` },
        {
          destination: 'pharmacy',
          number: 1,
          type: 'RAS^O17',
          action: 'A',
          subject: 'v',
          covers: [],
          controlId: messageId,
          text: 'MSH',
          problem: null,
        },
      )
    const answered = (messageId: string, outcome: 'taken' | 'refused') =>
      writer.write(
        'message-answered',
        { messageId },
        {
          destination: 'pharmacy',
          outcome,
          answer: null,
          why: '',
          tries: 1,
        },
      )

    /** One who has left long ago, one who lies there since, one who was only heard of now, and one nobody admitted. */
    const shift = async () => {
      await store(1, [census('gone', 'admitted', 'EAST'), order('gone'), census('stays', 'admitted', 'WEST')])
      await store(2, [
        census('gone', 'discharged', undefined, day(2)),
        composed('m1', 'gone'),
        composed('m2', 'gone'),
      ])
      await store(2, [composed('m3', 'gone'), answered('m2', 'taken'), answered('m3', 'refused')])
      await store(8, [census('left', 'admitted', 'EAST'), census('left', 'discharged', undefined, day(8))])
      await store(9, [order('unnamed')])
    }

    it('knows who may still concern somebody: who is here, and who was heard of lately', async () => {
      await shift()
      expect(await ledger.livePatients(HERE, WINDOW)).toEqual(['left', 'stays', 'unnamed'])
      expect(await ledger.livePatients(HERE, { ...WINDOW, units: ['EAST'] })).toEqual(['left', 'unnamed'])
      expect(await ledger.livePatients(HERE, { ...WINDOW, units: [] })).toEqual(['unnamed'])
      expect(await ledger.livePatients('elsewhere', WINDOW)).toEqual([])
      expect(await ledger.livePatients(HERE, { ...WINDOW, hereSince: day(5) })).toEqual(['left', 'unnamed'])
    })

    it('goes by when things happened in the census, whatever order they came in', async () => {
      await store(1, [census('late', 'discharged', undefined, day(1))])
      await store(2, [census('late', 'admitted', 'WEST', '2026-02-20T12:00:00.000Z')])
      expect(await ledger.livePatients(HERE, WINDOW)).toEqual([])
      await store(3, [census('late', 'admitted', 'WEST', day(3))])
      expect(await ledger.livePatients(HERE, WINDOW)).toEqual(['late'])
    })

    it('finds by message, person, document, handover and shift, and one fact by its id', async () => {
      await shift()
      const kinds = async (...words: Parameters<Ledger['under']>) =>
        (await ledger.under(...words)).map(({ text }) => JSON.parse(text).kind)
      expect(await kinds(HERE, 'message', 'm2')).toEqual(['message-composed', 'message-answered'])
      expect(await kinds(HERE, 'message', 'm9')).toEqual([])
      const staff = writer.write(
        'staff-recorded',
        { personId: 'amsel' },
        {
          name: 'Amsel',
          role: 'therapist',
          signedOffFor: [],
          active: true,
        },
      )
      await store(9, [staff])
      expect(await kinds(HERE, 'person', 'amsel')).toEqual(['staff-recorded'])
      expect(await ledger.entryOfFact(HERE, staff.id)).toMatchObject({ factId: staff.id, sequence: 13 })
      expect(await ledger.entryOfFact('elsewhere', staff.id)).toBeNull()
      expect(await ledger.openMessages(HERE)).toEqual(['m1', 'm3'])
      expect(await ledger.lastBefore(HERE, day(8))).toBe(9)
      expect(await ledger.lastBefore(HERE, day(1))).toBe(0)
      expect(await ledger.lastBefore(HERE, day(30))).toBe(13)
    })

    const received = (
      messageId: string,
      problems: BodyOf<'message-received'>['problems'],
      code: 'AA' | 'AE' = 'AA',
    ) =>
      writer.write(
        'message-received',
        { messageId },
        {
          channel: 'hl7v2',
          raw: 'MSH',
          encoding: 'text',
          key: null,
          type: 'ADT^A01',
          sender: null,
          answer: { code, text: '' },
          problems,
          made: [],
        },
      )
    const settled = (item: string) =>
      writer.write('item-settled', {}, { item, how: 'answered', note: 'seen to' })

    /** Two that came whole, one with a part that could not be used, one refused, and one that a person has settled. */
    const messages = async () => {
      const problem = { where: 'PV1-3', code: 'missing', what: 'names no unit' }
      await store(3, [received('m4', []), received('m5', [problem]), received('m6', [], 'AE')])
      await store(4, [
        received('m7', [problem]),
        settled('message:m7'),
        settled('finding:m5'),
        received('m8', []),
      ])
    }

    it('finds messages of which something stayed undone, until somebody settles them', async () => {
      await messages()
      expect(await ledger.openMessages(HERE)).toEqual(['m5', 'm6'])
      await store(5, [settled('message:m6')])
      expect(await ledger.openMessages(HERE)).toEqual(['m5'])
      expect(await ledger.openMessages('elsewhere')).toEqual([])
      await store(30, [away('stays')])
      expect((await new LiveChart(ledger, HERE).now()).messages().map(({ messageId }) => messageId)).toEqual([
        'm5',
      ])
    })

    it('files what stayed undone of a ledger that was filed before that was', async () => {
      await shift()
      await messages()
      const filed = () =>
        open.db.selectFrom('also_about').selectAll().orderBy('sequence').orderBy('subject').execute()
      const before = await filed()
      await open.db.deleteFrom('also_about').where('subject', 'in', ['unsettled', 'settled']).execute()
      await open.db.deleteFrom('schema_step').where('step', '=', '009 unsettled').execute()
      expect(await ledger.openMessages(HERE)).toEqual(['m1', 'm3'])
      expect(await migrate(open.db, open.kind, day(9))).toEqual(['009 unsettled'])
      expect(await filed()).toEqual(before)
      expect(before.filter(({ subject }) => subject === 'unsettled').map(({ id }) => id)).toEqual([
        'm5',
        'm6',
        'm7',
      ])
      expect(await ledger.openMessages(HERE)).toEqual(['m1', 'm3', 'm5', 'm6'])
      expect(await ledger.misfiled(HERE)).toBeNull()
    })

    it('files anew from the ledger alone exactly as it filed when the facts came', async () => {
      await shift()
      const filed = async () => [
        await open.db.selectFrom('also_about').selectAll().orderBy('sequence').execute(),
        await open.db.selectFrom('whereabouts').selectAll().orderBy('patient_id').execute(),
      ]
      const before = await filed()
      expect(before.map((rows) => rows.length)).toEqual([5, 4])
      await open.db.deleteFrom('also_about').execute()
      await open.db.deleteFrom('whereabouts').execute()
      await refile(open.db)
      expect(await filed()).toEqual(before)
    })

    it('says what is filed wrongly, and makes it anew', async () => {
      await shift()
      expect(await ledger.misfiled(HERE)).toBeNull()
      const harm = {
        'an entry that is not filed': () =>
          open.db.deleteFrom('also_about').where('subject', '=', 'message').execute(),
        'an entry under another subject': () =>
          open.db.updateTable('also_about').set({ id: 'other' }).where('subject', '=', 'message').execute(),
        'a patient who is not filed': () =>
          open.db.deleteFrom('whereabouts').where('patient_id', '=', 'stays').execute(),
        'a patient on another unit': () =>
          open.db
            .updateTable('whereabouts')
            .set({ unit: '9EAST' })
            .where('patient_id', '=', 'stays')
            .execute(),
        'a patient of whom nobody spoke': () =>
          open.db
            .insertInto('whereabouts')
            .values({ facility: HERE, patient_id: 'ghost', unit: null, is_here: 1, touched_at: day(1) })
            .execute(),
      }
      const told: Record<string, string | null> = {}
      for (const [name, act] of Object.entries(harm)) {
        await act()
        told[name] = await ledger.misfiled(HERE)
        await fileAnew(open.db)
        expect(await ledger.misfiled(HERE)).toBeNull()
      }
      expect(told).toEqual({
        'an entry that is not filed': expect.stringMatching(/^not filed: entry \d+ \(.+\) under message m1$/),
        'an entry under another subject': expect.stringMatching(
          /^not filed: entry \d+ \(.+\) under message m1$/,
        ),
        'a patient who is not filed': expect.stringMatching(/^not filed: patient stays: here, unit /),
        'a patient on another unit': expect.stringMatching(/^not filed: patient stays: here, unit /),
        'a patient of whom nobody spoke': expect.stringMatching(
          /^filed without an entry .* patient ghost: here/,
        ),
      })
    })

    it('keeps a live chart as large as the hospital: whole patients or none, and whoever is heard of again', async () => {
      await store(1, [
        census('forgotten', 'admitted', 'EAST', '2026-02-20T12:00:00.000Z'),
        order('forgotten'),
        census('forgotten', 'discharged', undefined, day(1)),
      ])
      await shift()
      const live = new LiveChart(ledger, HERE)
      const ids = async () => (await live.now()).patients().map(({ patientId }) => patientId)
      // Two messages about the one who has left are not answered for.
      expect(await ids()).toEqual(['gone', 'left', 'stays'])
      const chart = await live.now()
      expect(chart.orders().map(({ orderId }) => orderId)).toEqual(['gone-o', 'unnamed-o'])
      expect(chart.outgoings().map(({ messageId, state }) => [messageId, state])).toEqual([
        ['m1', 'waiting'],
        ['m2', 'taken'],
        ['m3', 'refused'],
      ])
      const asked = new LiveChart(ledger, HERE)
      expect((await asked.nowAbout(['forgotten-o'])).patients().map(({ patientId }) => patientId)).toContain(
        'forgotten',
      )
      await store(9, [away('forgotten')])
      expect(await ids()).toEqual(['forgotten', 'gone', 'left', 'stays'])
      expect((await live.now()).order('forgotten-o')).not.toBeNull()
      expect((await new LiveChart(ledger, HERE, 'whole').now()).outgoings()).toHaveLength(3)
    })

    it('answers a question about anybody by fetching what it asks for, and that alone', async () => {
      await shift()
      const record = new OnDemand(ledger, HERE)
      const answer = await record.read((chart) => ({
        dischargedAt: chart.patient('gone').dischargedAt,
        orders: chart.ordersOf('gone').map(({ orderId }) => orderId),
        message: chart.outgoing('m3')?.state,
        others: chart.patients().length,
      }))
      expect(answer).toEqual({ dischargedAt: day(2), orders: ['gone-o'], message: 'refused', others: 1 })
      expect(await record.read((chart) => chart.patient('nobody').mrn)).toBeNull()
      expect(await record.readUpTo((chart) => chart.order('stays-o'))).toEqual({ upTo: 12, answer: null })
      const refusing = record.read((chart) => {
        if (chart.order('gone-o')) throw new Error('it is there')
        throw new Error('it is not there')
      })
      await expect(refusing).rejects.toThrow('it is there')
    })

    it('sees a document as soon as it is adopted', async () => {
      const record = new OnDemand(ledger, HERE)
      const adopt = (edition: string) =>
        writer.write(
          'document-adopted',
          { document: 'site' },
          { edition, content: {}, approvedBy: 'x', note: '' },
        )
      const editions = () => record.read((chart) => chart.factsAbout('document', 'site').length)
      expect(await editions()).toBe(0)
      await store(1, [adopt('1')])
      expect(await editions()).toBe(1)
      await store(1, [adopt('2')])
      expect(await editions()).toBe(2)
    })
  })
}
