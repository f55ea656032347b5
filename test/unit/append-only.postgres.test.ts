import { sql } from 'kysely'
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import { migrateTables } from '../../src/cli/commands/migrate.ts'
import { openLedger } from '../../src/cli/open.ts'
import { type OpenDatabase, openDatabase } from '../../src/store/database.ts'
import { Ledger } from '../../src/store/ledger.ts'
import { verifyLedger } from '../../src/store/verify.ts'
import { TestWriter } from '../support/facts.ts'
import { startPostgres, type ThrowawayPostgres } from '../support/postgres.ts'
import { runCommand } from '../support/terminal.ts'

const NOW = '2026-03-10T12:00:00.000Z'
let server: ThrowawayPostgres
let owner: OpenDatabase
let asApp: string
beforeAll(async () => {
  server = await startPostgres()
  const { db } = openDatabase(await server.newDatabase())
  await sql`create role mistwright_app login`.execute(db)
  await db.destroy()
}, 60_000)
afterAll(() => server?.close())

beforeEach(async () => {
  const address = await server.newDatabase()
  asApp = address.replace('postgres@', 'mistwright_app@')
  const words = ['--database', address, '--grant-to', 'mistwright_app']
  expect(await runCommand(migrateTables, words)).toMatchObject({ exit: 0 })
  owner = openDatabase(address)
  return () => owner.db.destroy()
})

const away = (seed: number) =>
  new TestWriter(NOW, seed).write('patient-away', { patientId: 'p' }, { reason: 'imaging' })
const batch = (seed: number) => ({ facts: [away(seed)], receivedAt: NOW, deviceAheadMs: null })

describe('a server that runs as a role of its own', () => {
  it('works: opens, appends, hears, notes who looked', async () => {
    const { ledger } = await openLedger({ database: asApp, facility: 'larkmere' }, () => 0, true)
    const stop = await ledger.listen()
    expect(await ledger.append('larkmere', batch(1))).toMatchObject([{ status: 'stored', sequence: 1 }])
    const look = { at: NOW, person_id: 'amsel', what: 'read', about: null, request_id: 'r' }
    await ledger.noteAccess({ facility: 'larkmere', ...look })
    expect(await ledger.accessAfter('larkmere', 0, 5)).toHaveLength(1)
    await stop()
    await ledger.close()
  })

  it('cannot change, delete, empty or drop what was written, nor take the guards away', async () => {
    const app = openDatabase(asApp)
    const ledger = new Ledger(app)
    await ledger.append('larkmere', batch(1))
    const before = await verifyLedger(ledger, 'larkmere')
    for (const table of ['ledger', 'ledger_others', 'access_log', 'access_log_others'])
      for (const statement of [
        `update ${table} set facility = 'x'`,
        `delete from ${table}`,
        `truncate ${table}`,
        `drop table ${table}`,
        `alter table ${table} disable trigger all`,
        `create trigger mine before insert on ${table} for each statement execute function refuse_change()`,
      ])
        await expect(sql.raw(statement).execute(app.db), statement).rejects.toThrow(
          /permission denied|must be owner/,
        )
    for (const statement of [
      'create or replace function refuse_change() returns trigger language plpgsql as $$ begin return new; end $$',
      'create table mine (x text)',
      'set session_replication_role = replica',
      `insert into schema_step values ('999', '${NOW}')`,
      'select own_partition($$mine$$)',
    ])
      await expect(sql.raw(statement).execute(app.db), statement).rejects.toThrow(
        /permission denied|must be owner/,
      )
    expect(await verifyLedger(ledger, 'larkmere')).toEqual(before)
    await ledger.close()
  })

  it('is told in a sentence what to do when its tables are not up to date', async () => {
    await sql`delete from schema_step where step = '006 partition by facility'`.execute(owner.db)
    await expect(openLedger({ database: asApp, facility: 'larkmere' }, () => 0, true)).rejects.toThrow(
      /lacks 006 partition by facility, and this role may not change its tables.*mistwright migrate/,
    )
  })
})

describe('the owner of the tables', () => {
  it('is held back by the guards too, in the table and in each partition', async () => {
    await sql`select own_partition('larkmere')`.execute(owner.db)
    const ledger = new Ledger(owner)
    await ledger.append('larkmere', batch(1))
    await ledger.append('eastholm', {
      ...batch(2),
      facts: [{ ...away(2), facility: 'eastholm' }],
    })
    for (const table of ['ledger', 'ledger_larkmere', 'ledger_others'])
      for (const statement of [`update ${table} set kind = 'x'`, `delete from ${table}`, `truncate ${table}`])
        await expect(sql.raw(statement).execute(owner.db), statement).rejects.toThrow(/append-only/)
  })
})

describe('partitions by facility', () => {
  const count = async (table: string) => {
    const { rows } = await sql<{ n: number }>`select count(*) as n from ${sql.table(table)}`.execute(owner.db)
    return rows[0]?.n
  }

  it('keep a hospital that was given its own apart, and look nowhere else for it', async () => {
    await sql`select own_partition('larkmere')`.execute(owner.db)
    const ledger = new Ledger(openDatabase(asApp))
    await ledger.append('larkmere', batch(1))
    await ledger.append('eastholm', { ...batch(2), facts: [{ ...away(2), facility: 'eastholm' }] })
    expect([await count('ledger_larkmere'), await count('ledger_others')]).toEqual([1, 1])
    expect(await ledger.facilities()).toEqual(['eastholm', 'larkmere'])
    const { rows } = await sql<{ 'QUERY PLAN': string }>`
      explain select * from ledger where facility = 'larkmere' and sequence > 0 order by sequence`.execute(
      owner.db,
    )
    const plan = rows.map((row) => row['QUERY PLAN']).join('\n')
    expect(plan).toContain('ledger_larkmere')
    expect(plan).not.toContain('ledger_others')
    await ledger.close()
  })

  it('are refused for a hospital that has entries already, which stay where they are', async () => {
    const ledger = new Ledger(owner)
    await ledger.append('larkmere', batch(1))
    await expect(sql`select own_partition('larkmere')`.execute(owner.db)).rejects.toThrow(/would be violated/)
    expect(await verifyLedger(ledger, 'larkmere')).toMatchObject({ kind: 'whole', entries: 1 })
  })

  it('have the facility first in every key and index of what grows', async () => {
    const { rows } = await sql<{ name: string; first: string }>`
      select i.indexrelid::regclass::text as name, a.attname as first
      from pg_index i join pg_attribute a on a.attrelid = i.indrelid and a.attnum = i.indkey[0]
      where i.indrelid in ('ledger'::regclass, 'access_log'::regclass, 'person'::regclass, 'sitting'::regclass)
    `.execute(owner.db)
    expect(rows.length).toBeGreaterThanOrEqual(10)
    const others = rows.filter(({ first }) => first !== 'facility').map(({ name }) => name)
    // A user of the sign-in library is one person; the library looks a person up by it.
    expect(others).toEqual(['person_user_id_key'])
  })
})
