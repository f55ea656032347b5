import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, expect, it } from 'vitest'
import { openDatabase } from '../../src/store/database.ts'
import { migrate } from '../../src/store/steps.ts'
import { startPostgres } from '../support/postgres.ts'
import { attached, callsIn, reachesDisk, strace } from '../support/strace.ts'
import { startWriter } from '../support/writers.ts'

const NOW = '2026-03-10T12:00:00.000Z'
const BATCHES = 12
const folder = mkdtempSync(join(tmpdir(), 'mistwright-disk-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

const prepare = async (address: string) => {
  const open = openDatabase(address)
  await migrate(open.db, open.kind, NOW)
  await open.db.destroy()
}

it('says that a fact is stored only after the log of the SQLite file is on the disk', async () => {
  const database = join(folder, 'mistwright.db')
  await prepare(database)
  const trace = join(folder, 'sqlite.trace')
  const run = [process.execPath, 'test/support/append-forever.mjs', database, '3', String(BATCHES)]
  const writer = strace(trace, { run })
  expect(await new Promise((resolve) => writer.once('exit', resolve))).toBe(0)
  const acknowledged = []
  let [unsafe, synced] = [0, 0]
  for (const call of callsIn(trace)) {
    const isLog = call.file === `${database}-wal`
    if (isLog && call.name === 'pwrite64') unsafe += 1
    if (isLog && reachesDisk(call)) [unsafe, synced] = [0, synced + 1]
    // The writer says a number on its standard output once the ledger has acknowledged it.
    if (call.name !== 'write' || !/^write\(1<[^>]*>, "\d+\\n"/.test(call.text)) continue
    acknowledged.push({ unsafe, synced })
    synced = 0
  }
  expect(acknowledged).toHaveLength(BATCHES)
  expect(acknowledged.filter(({ unsafe: still, synced: times }) => still > 0 || times === 0)).toEqual([])
}, 60_000)

it('is told by PostgreSQL that a fact is stored only after its log is on the disk', async () => {
  const postgres = await startPostgres({ fsync: 'on' })
  try {
    const address = await postgres.newDatabase()
    await prepare(address)
    const trace = join(folder, 'postgres.trace')
    const watch = strace(trace, { pid: postgres.server.pid })
    await attached(watch)
    const writer = startWriter(address, 5, BATCHES)
    expect(await writer.ended).toBe(0)
    const ended = new Promise((resolve) => watch.once('exit', resolve))
    watch.kill('SIGINT')
    await ended
    const committed = []
    let synced: number | null = null
    for (const call of callsIn(trace)) {
      if (call.name === 'recvfrom' && /"Q\\0\\0\\0.{1,4}commit/.test(call.text)) synced = 0
      if (synced !== null && /\/pg_wal\/[0-9A-F]{24}$/.test(call.file) && reachesDisk(call)) synced += 1
      if (synced === null || call.name !== 'sendto' || !call.text.includes('COMMIT\\0')) continue
      committed.push(synced)
      synced = null
    }
    expect(committed).toHaveLength(BATCHES)
    expect(Math.min(...committed)).toBeGreaterThan(0)
  } finally {
    await postgres.close()
  }
}, 60_000)
