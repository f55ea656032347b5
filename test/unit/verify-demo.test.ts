import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, expect, it } from 'vitest'
import { verify } from '../../src/cli/commands/verify.ts'
import { openDoor, openLedger } from '../../src/cli/open.ts'
import { seedDemo } from '../../src/demo/seed.ts'
import { runCommand } from '../support/terminal.ts'

const NOW = Date.parse('2026-03-10T15:20:00Z')
const folder = mkdtempSync(join(tmpdir(), 'mistwright-verify-'))
const database = join(folder, 'mistwright.db')
afterAll(() => rmSync(folder, { recursive: true, force: true }))

const verified = () => runCommand(verify, ['--database', database], { nowMs: () => NOW })

it('is green on the demo ledger, and red once one byte of one body is changed on the disk', async () => {
  const { ledger } = await openLedger({ database, facility: 'marrowby' }, () => NOW, false)
  await seedDemo({
    ledger,
    people: { add: async () => {} },
    facility: 'marrowby',
    nowMs: NOW,
    doorAt: (nowMs, bytes) => openDoor('marrowby', nowMs, bytes),
  })
  await ledger.close()
  const whole = await verified()
  expect(whole.exit).toBe(0)
  expect(whole.said).toMatch(/^marrowby: whole\. \d{4,} entries/)

  const bytes = readFileSync(database)
  const at = bytes.indexOf('"heartRatePerMin":')
  expect(at).toBeGreaterThan(0)
  const digit = at + '"heartRatePerMin":'.length
  bytes[digit] = bytes[digit] === 0x38 ? 0x39 : 0x38
  writeFileSync(database, bytes)
  const broken = await verified()
  expect(broken.exit).toBe(1)
  expect(broken.said).toMatch(/BROKEN at entry \d+ .*not what was hashed/)
})
