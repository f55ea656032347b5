import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, expect, it } from 'vitest'
import { TestWriter } from '../../../test/support/facts.ts'
import { runCommand } from '../../../test/support/terminal.ts'
import { openDatabase } from '../../store/database.ts'
import { openLedger } from '../open.ts'
import { migrateTables } from './migrate.ts'
import { verify } from './verify.ts'

const HERE = 'marrowby'
const NOW = '2026-03-10T12:00:00.000Z'
const folder = mkdtempSync(join(tmpdir(), 'mistwright-verify-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

it('tells of what searches go by too, and the way to put it right', async () => {
  const database = join(folder, 'ledger.db')
  const { ledger } = await openLedger({ database, facility: HERE }, () => Date.parse(NOW), false)
  const body = { event: 'admitted' as const, patch: { mrn: 'LK204101', family: 'Quell', given: 'Ansgar' } }
  const fact = new TestWriter(NOW).write('census-updated', { patientId: 'p1' }, body)
  const facts = [{ ...fact, facility: HERE }]
  await ledger.append(HERE, { facts, receivedAt: NOW, deviceAheadMs: null })
  await ledger.close()
  const where = ['--database', database]
  const verified = () => runCommand(verify, where)
  expect(await verified()).toMatchObject({
    exit: 0,
    said: expect.stringContaining('marrowby: whole. 1 entries'),
  })

  const open = openDatabase(database)
  await open.db.deleteFrom('whereabouts').execute()
  await open.db.destroy()
  const { exit, said } = await verified()
  expect(exit).toBe(1)
  expect(said).toContain('marrowby: whole. 1 entries')
  expect(said).toMatch(/MISFILED.*not filed: patient p1: here.*`mistwright migrate --file-anew`/)

  expect(await runCommand(migrateTables, ['--file-anew', ...where])).toMatchObject({
    exit: 0,
    said: expect.stringContaining('Filed anew.'),
  })
  expect((await verified()).exit).toBe(0)
})
