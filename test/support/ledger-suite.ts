import { sql } from 'kysely'
import { beforeEach, describe, expect, it } from 'vitest'
import { GENESIS_HASH } from '../../src/chart/chain.ts'
import { factText } from '../../src/chart/fact.ts'
import type { AnyFact } from '../../src/chart/registry.ts'
import { firstBrokenNote } from '../../src/store/access-log.ts'
import { LedgerMoved, NotTogether } from '../../src/store/append.ts'
import { type OpenDatabase, openDatabase } from '../../src/store/database.ts'
import { Ledger } from '../../src/store/ledger.ts'
import { migrate, STEPS, stepsToDo } from '../../src/store/steps.ts'
import { verifyLedger } from '../../src/store/verify.ts'
import { QID_ALBUTEROL, TestWriter } from './facts.ts'

const NOW = '2026-03-10T12:00:00.000Z'
const HERE = 'larkmere'
const received = (facts: readonly AnyFact[], more = {}) => ({
  facts,
  receivedAt: NOW,
  deviceAheadMs: 1200,
  ...more,
})

/** What a ledger promises, whichever database it stands on. `newAddress` gives an empty database each time. */
export function ledgerSuite(name: string, newAddress: () => Promise<string>): void {
  describe(`ledger on ${name}`, () => {
    let address: string
    let open: OpenDatabase
    let ledger: Ledger
    let writer: TestWriter

    beforeEach(async () => {
      address = await newAddress()
      open = openDatabase(address)
      await migrate(open.db, open.kind, NOW)
      ledger = new Ledger(open)
      writer = new TestWriter(NOW)
      return () => ledger.close()
    })

    const away = (patientId = 'patient-1') =>
      writer.write('patient-away', { patientId }, { reason: 'imaging' })
    const order = (patientId: string, orderId: string) =>
      writer.write('order-placed', { patientId, orderId }, { order: QID_ALBUTEROL, channel: 'hand' })

    it('names every step in a dry run that changes nothing, then does each once', async () => {
      const fresh = openDatabase(await newAddress())
      const all = STEPS.map((step) => step.name)
      expect((await stepsToDo(fresh.db)).map((step) => step.name)).toEqual(all)
      expect(await fresh.db.introspection.getTables()).toEqual([])
      expect(await migrate(fresh.db, fresh.kind, NOW)).toEqual(all)
      expect(await stepsToDo(fresh.db)).toEqual([])
      expect(await migrate(fresh.db, fresh.kind, NOW)).toEqual([])
      await fresh.db.destroy()
    })

    it('gives each fact its number without a gap, and ties it to the one before', async () => {
      const facts = [away(), away(), away()]
      const appended = await ledger.append(HERE, received(facts))
      expect(appended).toEqual(facts.map(({ id }, at) => ({ id, status: 'stored', sequence: at + 1 })))
      const entries = await ledger.after(HERE, 0, 10)
      expect(entries.map(({ text }) => text)).toEqual(facts.map(factText))
      expect(entries.map(({ previousHash }) => previousHash)).toEqual([
        GENESIS_HASH,
        entries[0]?.hash,
        entries[1]?.hash,
      ])
      expect(entries[0]).toMatchObject({ receivedAt: NOW, deviceAheadMs: 1200, facility: HERE })
      expect(await verifyLedger(ledger, HERE)).toEqual({
        kind: 'whole',
        entries: 3,
        lastHash: entries[2]?.hash,
      })
    })

    it('answers "known" to what it has, in the same batch or later, and stores nothing twice', async () => {
      const [one, two] = [away(), away()]
      expect((await ledger.append(HERE, received([one, one]))).map(({ status }) => status)).toEqual([
        'stored',
        'known',
      ])
      expect(await ledger.append(HERE, received([two, one]))).toEqual([
        { id: two.id, status: 'stored', sequence: 2 },
        { id: one.id, status: 'known', sequence: 1 },
      ])
      expect(await ledger.last(HERE)).toBe(2)
    })

    it('refuses another text under a known id, and keeps the first and the rest of the batch', async () => {
      const first = away()
      const other = { ...first, body: { reason: 'dialysis' } }
      const third = away()
      await ledger.append(HERE, received([first]))
      const appended = await ledger.append(HERE, received([other, third]))
      expect(appended).toEqual([
        { id: first.id, status: 'refused', why: expect.stringContaining('another fact with this id') },
        { id: third.id, status: 'stored', sequence: 2 },
      ])
      expect((await ledger.after(HERE, 0, 10)).map(({ text }) => text)).toEqual([first, third].map(factText))
    })

    it('stores nothing of a batch that belongs together when one of it is refused', async () => {
      const first = away()
      await ledger.append(HERE, received([first]))
      const batch = [away(), { ...first, body: { reason: 'dialysis' } }]
      await expect(ledger.append(HERE, received(batch, { together: true }))).rejects.toThrow(NotTogether)
      expect(await ledger.last(HERE)).toBe(1)
    })

    it('stores nothing that was worked out from a ledger that has grown since', async () => {
      await ledger.append(HERE, received([away()]))
      await expect(ledger.append(HERE, received([away()], { onlyIfLast: 0 }))).rejects.toThrow(LedgerMoved)
      expect(await ledger.last(HERE)).toBe(1)
      await ledger.append(HERE, received([away()], { onlyIfLast: 1 }))
      expect(await ledger.last(HERE)).toBe(2)
    })

    it('refuses by name what a database cannot hold or what is not this facility, and stores the rest', async () => {
      const odd = ['a\0b', 'half \ud800 a pair'].map((patientId) => away(patientId))
      const elsewhere = { ...away(), facility: 'otherwhere' }
      const appended = await ledger.append(HERE, received([...odd, elsewhere, away()]))
      expect(appended.map(({ status }) => status)).toEqual(['refused', 'refused', 'refused', 'stored'])
      expect(appended[0]).toMatchObject({ why: 'one of its keys holds a sign that cannot be stored' })
      expect(appended[2]).toMatchObject({ why: 'it is a fact of otherwhere, not of larkmere' })
    })

    it('keeps a text with every awkward sign to the letter', async () => {
      const reason = 'NUL \0, quote \' ", half \udc00, ☂, \u2028, {x}, %s, \\'
      const fact = writer.write('patient-away', { patientId: 'p' }, { reason })
      await ledger.append(HERE, received([fact]))
      const [entry] = await ledger.after(HERE, 0, 1)
      expect(JSON.parse(entry?.text ?? '').body.reason).toBe(reason)
      expect((await verifyLedger(ledger, HERE)).kind).toBe('whole')
    })

    it('keeps the facilities apart: own numbers, own chain, own readers', async () => {
      const there = { ...away(), facility: 'otherwhere' }
      await ledger.append(HERE, received([away(), away()]))
      await ledger.append('otherwhere', received([there]))
      expect(await ledger.last('otherwhere')).toBe(1)
      expect((await ledger.after('otherwhere', 0, 10)).map(({ factId }) => factId)).toEqual([there.id])
      expect(await ledger.facilities()).toEqual([HERE, 'otherwhere'])
      expect(await verifyLedger(ledger, HERE)).toMatchObject({ kind: 'whole', entries: 2 })
      expect(await verifyLedger(ledger, 'nowhere')).toEqual({
        kind: 'whole',
        entries: 0,
        lastHash: GENESIS_HASH,
      })
    })

    it('finds entries by patient, order, visit and writer', async () => {
      const about = { patientId: 'patient-2', orderId: 'order-2', visitId: 'visit-2' }
      const facts = [
        away('patient-1'),
        order('patient-2', 'order-2'),
        writer.write('treatment-goes-on', about, {}),
      ]
      await ledger.append(HERE, received(facts))
      const ids = async (
        ...[subject, id]: Parameters<Ledger['about']> extends [string, ...infer R] ? R : never
      ) => (await ledger.about(HERE, subject, id)).map(({ factId }) => factId)
      expect(await ids('patient', 'patient-1')).toEqual([facts[0]?.id])
      expect(await ids('order', 'order-2')).toEqual([facts[1]?.id, facts[2]?.id])
      expect(await ids('visit', 'visit-2')).toEqual([facts[2]?.id])
      expect(await ids('person', 'amsel')).toEqual(facts.map(({ id }) => id))
      expect(await ids('person', 'nobody')).toEqual([])
    })

    it('reads more than a page in order, and after a number only what follows it', async () => {
      const facts = Array.from({ length: 4_500 }, (_, at) => away(`patient-${at}`))
      await ledger.append(HERE, received(facts))
      const read: string[] = []
      for await (const { factId } of ledger.entries(HERE)) read.push(factId)
      expect(read).toEqual(facts.map(({ id }) => id))
      expect((await ledger.after(HERE, 4_498, 100)).map(({ sequence }) => sequence)).toEqual([4_499, 4_500])
      expect(await verifyLedger(ledger, HERE)).toMatchObject({ kind: 'whole', entries: 4_500 })
    })

    it.each(['ledger', 'access_log'] as const)('lets nobody change or delete in %s', async (table) => {
      await ledger.append(HERE, received([away()]))
      await note('read')
      const change = open.db.updateTable(table).set({ facility: 'x' }).execute()
      await expect(change).rejects.toThrow(/append-only/)
      await expect(open.db.deleteFrom(table).execute()).rejects.toThrow(/append-only/)
      expect(await open.db.selectFrom(table).select('facility').execute()).toEqual([{ facility: HERE }])
    })

    /** Takes the guards away, as somebody would who has the database's own rights. */
    const withoutGuards = async (table: string, act: () => Promise<unknown>) => {
      const drops =
        open.kind === 'sqlite'
          ? [`drop trigger ${table}_no_update`, `drop trigger ${table}_no_delete`]
          : [`alter table ${table} disable trigger all`]
      for (const drop of drops) await sql.raw(drop).execute(open.db)
      await act()
    }

    it.each([
      ['text', { text: '{"id":"x"}' }, 'its content is not what was hashed'],
      ['time', { received_at: '2026-03-10T11:59:00.000Z' }, 'its content is not what was hashed'],
      ['tie', { previous_hash: 'f'.repeat(64) }, 'it does not name the entry before it'],
      ['patient it is filed under', { patient_id: 'patient-9' }, 'filed under another patient_id'],
      ['kind it is filed under', { kind: 'measured' }, 'filed under another kind'],
    ])('finds a changed %s', async (_what, change, why) => {
      await ledger.append(HERE, received([away(), away(), away()]))
      const second = (await ledger.after(HERE, 1, 1))[0]
      await withoutGuards('ledger', () =>
        open.db.updateTable('ledger').set(change).where('sequence', '=', 2).execute(),
      )
      expect(await verifyLedger(ledger, HERE)).toEqual({
        kind: 'broken',
        entries: 1,
        sequence: 2,
        factId: second?.factId,
        why: expect.stringContaining(why),
      })
    })

    it('finds an entry that was taken out', async () => {
      await ledger.append(HERE, received([away(), away(), away()]))
      await withoutGuards('ledger', () => open.db.deleteFrom('ledger').where('sequence', '=', 2).execute())
      expect(await verifyLedger(ledger, HERE)).toMatchObject({ kind: 'broken', entries: 1, sequence: 3 })
    })

    const note = (what: string, personId = 'amsel') =>
      ledger.noteAccess({ facility: HERE, at: NOW, person_id: personId, what, about: null, request_id: 'r' })

    it('keeps who looked at what in order, and shows when a note was changed', async () => {
      await note('read facts')
      await note('export facts', 'falk')
      await note('print handover')
      const read = await ledger.accessAfter(HERE, 0, 10)
      expect(read.map(({ sequence, person_id, what }) => [sequence, person_id, what])).toEqual([
        [1, 'amsel', 'read facts'],
        [2, 'falk', 'export facts'],
        [3, 'amsel', 'print handover'],
      ])
      expect((await ledger.accessAfter(HERE, 1, 10, 'amsel')).map(({ sequence }) => sequence)).toEqual([3])
      const pages = (after: number) => ledger.accessAfter(HERE, after, 2)
      expect(await firstBrokenNote(pages)).toBeNull()
      await withoutGuards('access_log', () =>
        open.db.updateTable('access_log').set({ person_id: 'birke' }).where('sequence', '=', 2).execute(),
      )
      expect(await firstBrokenNote(pages)).toBe(2)
    })

    it('gives a lease to one process at a time, and to another once it has ended or was given back', async () => {
      const ask = (owner: string, nowMs: number) =>
        ledger.takeLease({ facility: HERE, name: 'line', owner, nowMs, forMs: 100 })
      expect(await ask('one', 1_000)).toBe(true)
      expect(await ask('two', 1_099)).toBe(false)
      expect(await ask('one', 1_050)).toBe(true)
      expect(await ask('two', 1_149)).toBe(false)
      expect(await ask('two', 1_150)).toBe(true)
      expect(await ask('one', 1_200)).toBe(false)
      await ledger.endLease({ facility: HERE, name: 'line', owner: 'one' })
      expect(await ask('one', 1_200)).toBe(false)
      await ledger.endLease({ facility: HERE, name: 'line', owner: 'two' })
      expect(await ask('one', 1_200)).toBe(true)
    })

    it('knows the last entry that somebody wrote', async () => {
      await ledger.append(HERE, received([away(), away()]))
      const other = new TestWriter(NOW, 7, { personId: 'falk', role: 'lead' })
      await ledger.append(HERE, received([other.write('patient-away', { patientId: 'p' }, { reason: 'x' })]))
      expect(await ledger.lastBy(HERE, 'amsel')).toBe(2)
      expect(await ledger.lastBy(HERE, 'falk')).toBe(3)
      expect(await ledger.lastBy(HERE, 'nobody')).toBe(0)
    })

    it('tells of growth here once it is committed, and of nothing when nothing was stored', async () => {
      const heard: [string, number][] = []
      const stop = ledger.onGrowth((facility, last) => heard.push([facility, last]))
      const fact = away()
      await ledger.append(HERE, received([fact, away()]))
      await ledger.append(HERE, received([fact]))
      stop()
      await ledger.append(HERE, received([away()]))
      expect(heard).toEqual([[HERE, 2]])
    })

    it('hears of growth through another process on the same database', async () => {
      const elsewhere = new Ledger(openDatabase(address))
      const stopListening = await ledger.listen()
      const heard = new Promise((resolve) => ledger.onGrowth((facility, last) => resolve([facility, last])))
      await elsewhere.append(HERE, received([away()]))
      expect(await heard).toEqual([HERE, 1])
      await stopListening()
      await elsewhere.close()
    })
  })
}
