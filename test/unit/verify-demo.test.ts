import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, expect, it } from 'vitest'
import { readGiven, type Terminal } from '../../src/cli/command.ts'
import { verify } from '../../src/cli/commands/keep.ts'
import { openDoor, openLedger } from '../../src/cli/open.ts'
import { seedDemo } from '../../src/demo/seed.ts'

const NOW = Date.parse('2026-03-10T15:20:00Z')
const folder = mkdtempSync(join(tmpdir(), 'mistwright-verify-'))
const database = join(folder, 'mistwright.db')
afterAll(() => rmSync(folder, { recursive: true, force: true }))

/** Runs `mistwright verify` on the ledger and gives its exit code and what it said. */
async function verified(): Promise<{ exit: number; said: string }> {
  const said: string[] = []
  const terminal: Terminal = {
    out: (text) => said.push(text),
    err: (text) => said.push(text),
    readStdin: async () => '',
    readFile: async () => Buffer.alloc(0),
    nowMs: () => NOW,
  }
  const exit = await verify.run(readGiven(['--database', database], verify.options), terminal)
  return { exit, said: said.join('\n') }
}

it('is green on the demo ledger, and red once one byte of one body is changed on the disk', async () => {
  const settings = { database, facility: 'marrowby', host: '', port: 0, publicUrl: null, secret: null }
  const { ledger } = await openLedger(settings, () => NOW, false)
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
