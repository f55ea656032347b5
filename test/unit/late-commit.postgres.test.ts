import { sql } from 'kysely'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { migrateTables } from '../../src/cli/commands/migrate.ts'
import { openDatabase } from '../../src/store/database.ts'
import { Ledger } from '../../src/store/ledger.ts'
import { STEPS } from '../../src/store/steps.ts'
import { verifyLedger } from '../../src/store/verify.ts'
import { TestWriter } from '../support/facts.ts'
import { startPostgres, type ThrowawayPostgres } from '../support/postgres.ts'
import { runCommand } from '../support/terminal.ts'

const NOW = '2026-03-10T12:00:00.000Z'
const HERE = 'larkmere'
const [WRITERS, BATCHES] = [24, 12]
let server: ThrowawayPostgres
beforeAll(async () => {
  server = await startPostgres({ fsync: 'off', max_connections: '200' })
}, 60_000)
afterAll(() => server?.close())

it('never lets a reader skip a number, however long each of 24 writers takes to commit', async () => {
  const address = await server.newDatabase()
  expect((await runCommand(migrateTables, ['--database', address])).exit).toBe(0)
  const owner = openDatabase(address)
  // Deferred triggers run at commit: each transaction stands still there, for a time of its own.
  await sql`create function dawdle() returns trigger language plpgsql as $$
    begin perform pg_sleep(random() * 0.02); return null; end $$`.execute(owner.db)
  await sql`create constraint trigger dawdle after insert on ledger_others deferrable initially deferred
    for each row execute function dawdle()`.execute(owner.db)
  const reader = new Ledger(owner)
  let writing = true
  const work = Promise.all(
    Array.from({ length: WRITERS }, async (_, at) => {
      const ledger = new Ledger(openDatabase(address))
      const writer = new TestWriter(NOW, at + 1)
      for (let turn = 0; turn < BATCHES; turn += 1) {
        const facts = [writer.write('patient-away', { patientId: `p${at}` }, { reason: 'imaging' })]
        await ledger.append(HERE, { facts, receivedAt: NOW, deviceAheadMs: null })
      }
      await ledger.close()
    }),
  ).finally(() => {
    writing = false
  })
  const seen: number[] = []
  while (true) {
    const still = writing
    const entries = await reader.after(HERE, seen.at(-1) ?? 0, 100)
    seen.push(...entries.map(({ sequence }) => sequence))
    if (!still && entries.length === 0) break
  }
  await work
  expect(seen).toEqual(Array.from({ length: WRITERS * BATCHES }, (_, at) => at + 1))
  expect(await verifyLedger(reader, HERE)).toMatchObject({ kind: 'whole', entries: WRITERS * BATCHES })
  await reader.close()
}, 60_000)

it('says in a dry run what a migration would do, with its statements, and changes nothing', async () => {
  const address = await server.newDatabase()
  const looked = await runCommand(migrateTables, ['--database', address, '--dry-run'])
  expect(looked.exit).toBe(1)
  for (const { name } of STEPS) expect(looked.said).toContain(`-- ${name}\n`)
  expect(looked.said).toContain('create table ledger (')
  expect(looked.said).toContain(`-- ${STEPS.length} to do; nothing was changed.`)
  const open = openDatabase(address)
  expect(await open.db.introspection.getTables()).toEqual([])
  await open.db.destroy()
  expect((await runCommand(migrateTables, ['--database', address])).exit).toBe(0)
  const again = await runCommand(migrateTables, ['--database', address, '--dry-run'])
  expect(again).toEqual({ exit: 0, said: '-- Nothing is missing.' })
})
