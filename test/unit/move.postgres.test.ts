import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import { move } from '../../src/cli/commands/move.ts'
import { verify } from '../../src/cli/commands/verify.ts'
import { openDoor, openLedger } from '../../src/cli/open.ts'
import { seedDemo } from '../../src/demo/seed.ts'
import { People } from '../../src/server/people.ts'
import { openDatabase } from '../../src/store/database.ts'
import { Ledger } from '../../src/store/ledger.ts'
import { moveLedger } from '../../src/store/move.ts'
import { migrate } from '../../src/store/steps.ts'
import { hearTablet, listTablets, tabletSecret } from '../../src/store/tablets.ts'
import { TestWriter } from '../support/facts.ts'
import { startPostgres, type ThrowawayPostgres } from '../support/postgres.ts'
import { runCommand } from '../support/terminal.ts'

const NOW = Date.parse('2026-03-10T15:20:00Z')
const nowMs = () => NOW
const CONFIG = { secret: 's'.repeat(40), baseUrl: 'http://127.0.0.1', idleMinutes: 60, longestHours: 13 }
const folder = mkdtempSync(join(tmpdir(), 'mistwright-move-'))
let server: ThrowawayPostgres
let made = 0
let file: string
let address: string
beforeAll(async () => {
  server = await startPostgres()
}, 60_000)
afterAll(async () => {
  rmSync(folder, { recursive: true, force: true })
  await server?.close()
})

const away = (facility: string, seed: number) => ({
  ...new TestWriter('2026-03-10T12:00:00.000Z', seed).write(
    'patient-away',
    { patientId: 'p' },
    { reason: 'NUL \0, half \udc00, ☂' },
  ),
  facility,
})

/** Two hospitals in one file: the invented one with people, a session, a tablet and notes of access, and a small one. */
beforeEach(async () => {
  made += 1
  file = join(folder, `${made}.db`)
  address = await server.newDatabase()
  const { open, ledger } = await openLedger({ database: file, facility: 'marrowby' }, nowMs, false)
  const people = await People.open(open, CONFIG, nowMs)
  const doorAt = (at: () => number, bytes: (length: number) => Uint8Array) => openDoor('marrowby', at, bytes)
  await seedDemo({ ledger, people, facility: 'marrowby', nowMs: NOW, doorAt })
  const facts = [away('north-hall', made)]
  await ledger.append('north-hall', { facts, receivedAt: '2026-03-10T12:00:00.000Z', deviceAheadMs: -40 })
  const look = { at: '2026-03-10T12:00:00.000Z', person_id: 'amsel', about: null, request_id: 'r' }
  await ledger.noteAccess({ facility: 'marrowby', what: 'read', ...look })
  await ledger.noteAccess({ facility: 'nobodys', what: 'refused', ...look })
  await ledger.close()
}, 60_000)

const words = () => ['--database', file, '--to', address]
const contents = async (database: string) => {
  const open = openDatabase(database)
  const rows = []
  for (const table of ['ledger', 'access_log', 'person', 'sitting', 'tablet'] as const) {
    const found = await open.db.selectFrom(table).selectAll().execute()
    rows.push(found.map((row) => JSON.stringify(Object.entries(row).sort())).sort())
  }
  await open.db.destroy()
  return rows
}

/** Ends the connection that has written entries and has not committed them. */
async function cutWhileWriting(): Promise<void> {
  const database = address.replace(/^.*@\/(\w+)\?.*$/, '$1')
  const writes = "relation = 'ledger_others'::regclass and mode = 'RowExclusiveLock'"
  while (true) {
    const [found] = await server.server.ask(
      database,
      `select pg_terminate_backend(pid) as ended from pg_locks where ${writes}`,
    )
    if (found?.ended) return
  }
}

describe('moving a ledger from SQLite to PostgreSQL', () => {
  it('carries everything to the letter, people and tablets too, and verifies there', async () => {
    const open = openDatabase(file)
    const people = await People.open(open, CONFIG, nowMs)
    const inside = await people.signIn('marrowby', 'amsel', 'amsel walks the long ward')
    if (inside.kind !== 'in') throw new Error('the sign-in before the move failed')
    const key = { facility: 'marrowby', device_id: 'tablet-1', person_id: 'amsel' }
    const at = '2026-03-10T12:00:00.000Z'
    const secret = await tabletSecret(open.db, key, { secret: 'kept', at })
    await hearTablet(open.db, key, { waiting: 3, at })
    await open.db.destroy()
    const before = await contents(file)

    const moved = await runCommand(move, words(), { nowMs })
    expect(moved).toMatchObject({
      exit: 0,
      said: expect.stringMatching(/Moved and verified: north-hall, 1 entries/),
    })
    expect(await contents(address)).toEqual(before)
    expect(before.map((rows) => rows.length > 0)).toEqual([true, true, true, true, true])
    const checked = await runCommand(verify, ['--database', address], { nowMs })
    expect(checked).toMatchObject({
      exit: 0,
      said: expect.stringMatching(/^marrowby: whole\. \d{4,} entries/),
    })

    const there = openDatabase(address)
    const same = await People.open(there, CONFIG, nowMs)
    const cookie = inside.cookies.map((each) => each.split(';')[0]).join('; ')
    expect(await same.who(cookie)).toMatchObject({ personId: 'amsel', facility: 'marrowby' })
    expect((await same.signIn('marrowby', 'falk', 'falk walks the long ward')).kind).toBe('in')
    expect(await tabletSecret(there.db, key, { secret: 'another', at })).toBe(secret)
    expect(await listTablets(there.db, 'marrowby')).toMatchObject([{ waiting: 3 }])
    await there.db.destroy()
  }, 60_000)

  it('says in a dry run what it would carry, and changes neither side', async () => {
    const before = await contents(file)
    const looked = await runCommand(move, [...words(), '--dry-run'], { nowMs })
    expect(looked).toMatchObject({
      exit: 0,
      said: expect.stringMatching(/Would move: marrowby, \d{4,} entries/),
    })
    const there = openDatabase(address)
    expect(await there.db.introspection.getTables()).toEqual([])
    await there.db.destroy()
    expect(await contents(file)).toEqual(before)
    const { ledger } = await openLedger({ database: file, facility: 'marrowby' }, nowMs, false)
    await ledger.close()
  }, 60_000)

  it('closes the old file for facts, and leaves it to be read', async () => {
    await runCommand(move, words(), { nowMs })
    const begun = openLedger({ database: file, facility: 'marrowby' }, nowMs, false)
    await expect(begun).rejects.toThrow(/was moved to a PostgreSQL database/)
    const old = new Ledger(openDatabase(file))
    const late = {
      facts: [away('marrowby', 900)],
      receivedAt: '2026-03-10T13:00:00.000Z',
      deviceAheadMs: null,
    }
    await expect(old.append('marrowby', late)).rejects.toThrow(/was moved to another database/)
    await old.close()
    expect((await runCommand(verify, ['--database', file], { nowMs })).exit).toBe(0)
  }, 60_000)

  it('leaves the new database empty when it is cut off, and carries all the next time', async () => {
    const [from, to] = [openDatabase(file), openDatabase(address)]
    await migrate(to.db, to.kind, '2026-03-10T12:00:00.000Z')
    const moving = moveLedger(from, to).then(
      () => 'moved',
      (error: Error) => error.message,
    )
    await cutWhileWriting()
    expect(await moving).toMatch(/terminat/i)
    await Promise.all([from.db.destroy(), to.db.destroy()])
    expect((await contents(address)).flat()).toEqual([])
    expect((await runCommand(move, words(), { nowMs })).exit).toBe(0)
    expect(await contents(address)).toEqual(await contents(file))
  }, 60_000)

  it('knows that all has arrived before, and refuses a database that holds something else', async () => {
    await runCommand(move, words(), { nowMs })
    expect(await runCommand(move, words(), { nowMs })).toMatchObject({ exit: 0 })
    const ledger = new Ledger(openDatabase(address))
    const facts = [away('north-hall', 901)]
    await ledger.append('north-hall', { facts, receivedAt: '2026-03-10T13:00:00.000Z', deviceAheadMs: null })
    await ledger.close()
    const again = await runCommand(move, words(), { nowMs })
    expect(again).toMatchObject({
      exit: 1,
      said: expect.stringMatching(/^Nothing was moved: .* is not empty/),
    })
  }, 60_000)
})
