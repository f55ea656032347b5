import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { due } from '../../src/cli/commands/due.ts'
import { openDoor, openLedger } from '../../src/cli/open.ts'
import { seedDemo } from '../../src/demo/seed.ts'
import { runCommand } from '../support/terminal.ts'

const NOW = Date.parse('2026-03-10T15:20:00Z')
const folder = mkdtempSync(join(tmpdir(), 'mistwright-due-'))
const database = join(folder, 'mistwright.db')
afterAll(() => rmSync(folder, { recursive: true, force: true }))

beforeAll(async () => {
  const { ledger } = await openLedger({ database, facility: 'marrowby' }, () => NOW, false)
  await seedDemo({
    ledger,
    people: { add: async () => {} },
    facility: 'marrowby',
    nowMs: NOW,
    doorAt: (nowMs, bytes) => openDoor('marrowby', nowMs, bytes),
  })
  await ledger.close()
})

const asked = (...words: string[]) =>
  runCommand(due, ['--database', database, '--hours', '8', ...words], { nowMs: () => NOW })

type Told = { doseAt: string; status: string; cautions: { severity: string; code: string; what: string }[] }

describe('due', () => {
  it('says under each dose what formulary and chart hold against it, and only of doses still to be given', async () => {
    const { exit, said } = await asked('--json')
    expect(exit).toBe(0)
    const doses = JSON.parse(said) as Told[]
    const warned = doses.filter(({ cautions }) => cautions.length > 0)
    expect(warned.length).toBeGreaterThan(0)
    expect(warned.every(({ status }) => status !== 'given' && status !== 'not given')).toBe(true)
    expect(warned.flatMap(({ cautions }) => cautions).every(({ severity }) => severity !== 'note')).toBe(true)

    const lines = (await asked()).said.split('\n')
    const first = warned[0]
    const at = lines.findIndex((line) => first !== undefined && line.startsWith(first.doseAt))
    expect(lines.slice(at).join('\n')).toContain(
      `\n    ${first?.cautions[0]?.severity}: ${first?.cautions[0]?.what}`,
    )
  })
})
