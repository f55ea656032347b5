import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { TestWriter } from '../../test/support/facts.ts'
import { ledgerSuite } from '../../test/support/ledger-suite.ts'
import { startPostgres, type ThrowawayPostgres } from '../../test/support/postgres.ts'
import { readWhileTwoWrite } from '../../test/support/writers.ts'
import { openDatabase } from './database.ts'
import { Ledger } from './ledger.ts'
import { migrate, STEPS } from './steps.ts'
import { verifyLedger } from './verify.ts'

const NOW = '2026-03-10T12:00:00.000Z'
let server: ThrowawayPostgres
beforeAll(async () => {
  server = await startPostgres()
}, 60_000)
afterAll(() => server?.close())

ledgerSuite('PostgreSQL', () => server.newDatabase())

const prepared = async () => {
  const address = await server.newDatabase()
  const { db, kind } = openDatabase(address)
  await migrate(db, kind, NOW)
  await db.destroy()
  return address
}

describe('a ledger on a database server', () => {
  it('is brought up once by two servers that start at the same time', async () => {
    const shared = await server.newDatabase()
    const [one, two] = [openDatabase(shared), openDatabase(shared)]
    const done = await Promise.all([migrate(one.db, one.kind, NOW), migrate(two.db, two.kind, NOW)])
    expect(done.flat()).toEqual(STEPS.map((step) => step.name))
    await Promise.all([one.db.destroy(), two.db.destroy()])
  })

  it('never skips a number for a reader while two processes write at once', async () => {
    await readWhileTwoWrite(await prepared())
  }, 60_000)

  it('lets many writers of one process take turns', async () => {
    const ledger = new Ledger(openDatabase(await prepared()))
    const writer = new TestWriter(NOW)
    const facts = Array.from({ length: 60 }, () =>
      writer.write('patient-away', { patientId: 'p' }, { reason: 'imaging' }),
    )
    const each = facts.map((fact) =>
      ledger.append('larkmere', { facts: [fact], receivedAt: NOW, deviceAheadMs: null }),
    )
    const numbers = (await Promise.all(each)).flat().map((one) => one.status === 'stored' && one.sequence)
    expect(numbers.toSorted((a, b) => Number(a) - Number(b))).toEqual(facts.map((_, at) => at + 1))
    expect(await verifyLedger(ledger, 'larkmere')).toMatchObject({ kind: 'whole', entries: 60 })
    await ledger.close()
  })

  it('goes on hearing of growth after the line to the server was cut', async () => {
    const address = await prepared()
    const open = openDatabase(address)
    const [ledger, elsewhere] = [new Ledger(open), new Ledger(openDatabase(address))]
    const stop = await ledger.listen()
    const heard = new Promise((resolve) => ledger.onGrowth((_facility, last) => resolve(last)))
    await open.pool?.query(
      `select pg_terminate_backend(pid) from pg_stat_activity where query like 'listen%' and datname = current_database()`,
    )
    await elsewhere.append('larkmere', {
      facts: [new TestWriter(NOW).write('patient-away', { patientId: 'p' }, { reason: 'imaging' })],
      receivedAt: NOW,
      deviceAheadMs: null,
    })
    expect(await heard).toBe(1)
    await stop()
    await Promise.all([ledger.close(), elsewhere.close()])
  })
})
