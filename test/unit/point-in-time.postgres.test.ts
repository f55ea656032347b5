import { appendFileSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { verify } from '../../src/cli/commands/verify.ts'
import { openLedger } from '../../src/cli/open.ts'
import { TestWriter } from '../support/facts.ts'
import { givePostgres, PostgresServer } from '../support/postgres-server.ts'
import { runCommand } from '../support/terminal.ts'

const HERE = 'larkmere'
const NOW = '2026-03-10T12:00:00.000Z'
const folder = mkdtempSync(join(tmpdir(), 'mistwright-recovery-'))
const archive = join(folder, 'archive')
const place = (name: string) => {
  mkdirSync(join(folder, name))
  givePostgres(join(folder, name))
  return join(folder, name)
}
let server: PostgresServer
let recovered: PostgresServer | null = null

beforeAll(async () => {
  givePostgres(folder)
  place('archive')
  // As docs/department.md says it.
  server = new PostgresServer(place('first'), {
    wal_level: 'replica',
    archive_mode: 'on',
    archive_command: `test ! -f ${archive}/%f && cp %p ${archive}/%f`,
  })
  server.init('--wal-segsize=1')
  await server.start()
  await server.ask('postgres', 'create database mistwright')
}, 60_000)
afterAll(async () => {
  await server?.stop('SIGQUIT')
  await recovered?.stop('SIGQUIT')
  rmSync(folder, { recursive: true, force: true })
})

const batch = (seed: number) => {
  const writer = new TestWriter(NOW, seed)
  const away = () => writer.write('patient-away', { patientId: 'p' }, { reason: 'imaging' })
  return { facts: Array.from({ length: 50 }, away), receivedAt: NOW, deviceAheadMs: null }
}

it('brings a PostgreSQL ledger back to an instant, whole, from a base backup and what was archived since', async () => {
  const open = (of: PostgresServer) =>
    openLedger({ database: of.address('mistwright'), facility: HERE }, Date.now, false)
  const { ledger } = await open(server)
  await ledger.append(HERE, batch(1))
  server.run('pg_basebackup', [
    '-h',
    server.folder,
    '-U',
    'postgres',
    '-D',
    join(place('second'), 'data'),
    '-X',
    'none',
    '-c',
    'fast',
  ])
  await ledger.append(HERE, batch(2))
  const kept = await ledger.after(HERE, 99, 1)
  const [instant] = await server.ask('mistwright', 'select clock_timestamp()::text as now')
  // What came after that instant is what one wants to be rid of: here, a batch that was not meant.
  await new Promise((resolve) => setTimeout(resolve, 20))
  await ledger.append(HERE, batch(3))
  expect(await ledger.last(HERE)).toBe(150)
  await ledger.close()
  await archived()
  await server.stop('SIGKILL')

  recovered = new PostgresServer(join(folder, 'second'), { archive_mode: 'off' })
  const settings = {
    restore_command: `cp ${archive}/%f %p`,
    recovery_target_time: String(instant?.now),
    recovery_target_action: 'promote',
  }
  const lines = Object.entries(settings).map(([name, value]) => `${name} = '${value}'\n`)
  appendFileSync(join(recovered.data, 'postgresql.conf'), lines.join(''))
  writeFileSync(join(recovered.data, 'recovery.signal'), '')
  await recovered.start()
  await promoted(recovered)

  const checked = await runCommand(verify, ['--database', recovered.address('mistwright')])
  expect(checked).toMatchObject({ exit: 0, said: expect.stringMatching(/^larkmere: whole\. 100 entries/) })
  const back = (await open(recovered)).ledger
  expect(await back.after(HERE, 99, 10)).toEqual(kept)
  expect(await back.append(HERE, batch(3))).toHaveLength(50)
  expect(await back.last(HERE)).toBe(150)
  await back.close()
}, 120_000)

/** Waits until all that was written is in the archive. */
async function archived(): Promise<void> {
  const [segment] = await server.ask('mistwright', 'select pg_walfile_name(pg_switch_wal()) as name')
  while (true) {
    const [said] = await server.ask('mistwright', 'select last_archived_wal as name from pg_stat_archiver')
    if (String(said?.name) >= String(segment?.name)) return
    await new Promise((resolve) => setTimeout(resolve, 50))
  }
}

async function promoted(of: PostgresServer): Promise<void> {
  while ((await of.ask('mistwright', 'select pg_is_in_recovery() as is'))[0]?.is)
    await new Promise((resolve) => setTimeout(resolve, 50))
}
