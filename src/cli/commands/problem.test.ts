import { mkdtempSync, rmSync } from 'node:fs'
import { readFile, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { runCommand } from '../../../test/support/terminal.ts'
import { seedDemo } from '../../demo/seed.ts'
import { readShift } from '../../rounds/index.ts'
import { type Exit, readGiven, UsageError } from '../command.ts'
import { openDoor, openLedger } from '../open.ts'
import { problem } from './problem.ts'
import { round } from './round.ts'

const folder = mkdtempSync(join(tmpdir(), 'mistwright-problem-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

async function demoAt(nowMs: number): Promise<string> {
  const database = join(folder, `${nowMs}.db`)
  const { ledger } = await openLedger({ database, facility: 'marrowby' }, () => nowMs, false)
  await seedDemo({
    ledger,
    people: { add: async () => {} },
    facility: 'marrowby',
    nowMs,
    doorAt: (now, bytes) => openDoor('marrowby', now, bytes),
  })
  await ledger.close()
  return database
}

/** What went to standard output and what to standard error. */
async function written(database: string, nowMs: number): Promise<{ exit: Exit; out: string; err: string[] }> {
  const out: string[] = []
  const err: string[] = []
  const exit = await problem.run(
    readGiven(['--database', database, '--facility', 'marrowby'], problem.options),
    {
      out: (text) => out.push(text),
      err: (text) => err.push(text),
      readStdin: async () => '',
      readFile,
      nowMs: () => nowMs,
    },
  )
  return { exit, out: out.join('\n'), err }
}

/** Chicago, standard and summer time: early in the day shift, in the middle, before its end, and at night. */
const STARTS = [
  '2026-03-10T12:20:00Z',
  '2026-03-10T16:40:00Z',
  '2026-03-10T21:30:00Z',
  '2026-01-15T07:10:00Z',
]

describe('the problem of the invented hospital', () => {
  it.each(STARTS)(
    'started at %s has people on, doses to give, and a plan',
    async (start) => {
      const nowMs = Date.parse(start)
      const database = await demoAt(nowMs)
      const { exit, out, err } = await written(database, nowMs)
      expect(exit).toBe(0)
      const { shift, findings } = readShift(JSON.parse(out))
      expect(findings).toEqual([])
      expect(shift.therapists.length).toBeGreaterThanOrEqual(2)
      expect(shift.visits.length).toBeGreaterThan(3)
      expect(err.join('\n')).not.toMatch(/undefined|NaN/)
      const file = join(folder, `${nowMs}.json`)
      await writeFile(file, out)
      const planned = await runCommand(round, [file, '--seconds', '0.2', '--json'], {
        nowMs: () => performance.now(),
      })
      expect(planned.exit).toBe(0)
      const { routes, dropped } = JSON.parse(planned.said)
      const given = routes.flat().filter((visit: string) => visit !== 'break')
      expect(new Set([...given, ...dropped])).toEqual(new Set(shift.visits.map(({ id }) => id)))
    },
    120_000,
  )
  it('asks for an instant that is one', async () => {
    await expect(runCommand(problem, ['--at', 'noon'])).rejects.toThrow(UsageError)
  })
})
