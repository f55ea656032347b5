import { mkdirSync, mkdtempSync, rmSync, statSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { sql } from 'kysely'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { backup, restore } from '../../src/cli/commands/backup.ts'
import { openLedger } from '../../src/cli/open.ts'
import { People } from '../../src/server/people.ts'
import { openDatabase } from '../../src/store/database.ts'
import { Ledger } from '../../src/store/ledger.ts'
import { verifyLedger } from '../../src/store/verify.ts'
import { QID_ALBUTEROL, TestWriter } from '../support/facts.ts'
import { startPostgres, type ThrowawayPostgres } from '../support/postgres.ts'
import { runCommand } from '../support/terminal.ts'

const HERE = 'larkmere'
const NOW = '2026-03-10T12:00:00.000Z'
const nowMs = () => Date.parse(NOW)
const CONFIG = { secret: 's'.repeat(40), baseUrl: 'http://127.0.0.1', idleMinutes: 60, longestHours: 13 }
const PASSWORD = 'amsel keeps seven herons'
const folder = mkdtempSync(join(tmpdir(), 'mistwright-backup-'))
let server: ThrowawayPostgres
beforeAll(async () => {
  server = await startPostgres()
}, 60_000)
afterAll(async () => {
  rmSync(folder, { recursive: true, force: true })
  await server?.close()
})

let made = 0
const newFile = async () => {
  made += 1
  mkdirSync(join(folder, String(made)))
  return join(folder, String(made), 'mistwright.db')
}

const facts = (seed: number, count: number) => {
  const writer = new TestWriter(NOW, seed)
  const about = { patientId: 'p', orderId: 'o' }
  return Array.from({ length: count }, () =>
    writer.write('order-placed', about, { order: QID_ALBUTEROL, channel: 'hand' }),
  )
}
const batch = (seed: number, count: number) => ({
  facts: facts(seed, count),
  receivedAt: NOW,
  deviceAheadMs: null,
})

describe.each([
  ['SQLite', newFile],
  ['PostgreSQL', () => server.newDatabase()],
] as const)('a backup of a ledger on %s', (name, newPlace) => {
  it('is made while facts go on coming, and is brought back whole, with everybody who may sign in', async () => {
    const [database, place, file] = [await newPlace(), await newPlace(), join(folder, `${name}.backup`)]
    const { open, ledger } = await openLedger({ database, facility: HERE }, nowMs, false)
    const people = await People.open(open, CONFIG, nowMs)
    await people.add({ facility: HERE, personId: 'amsel', name: 'A', role: 'therapist', password: PASSWORD })
    await ledger.append(HERE, batch(1, 700))
    let [copying, seed] = [true, 2]
    const goesOn = (async () => {
      for (; copying && seed < 2_000; seed += 1) await ledger.append(HERE, batch(seed, 3))
    })()
    const copied = await runCommand(backup, [file, '--database', database]).finally(() => {
      copying = false
    })
    expect(copied.exit).toBe(0)
    await goesOn
    expect(statSync(file).mode & 0o777).toBe(0o600)

    const back = await runCommand(restore, [file, '--database', place])
    expect(back).toMatchObject({ exit: 0, said: expect.stringMatching(/larkmere: whole\. \d+ entries/) })
    const there = openDatabase(place)
    const restored = new Ledger(there)
    const last = await restored.last(HERE)
    expect(last).toBeGreaterThanOrEqual(700)
    expect((await restored.after(HERE, last - 1, 1))[0]).toEqual((await ledger.after(HERE, last - 1, 1))[0])
    const inside = await (await People.open(there, CONFIG, nowMs)).signIn(HERE, 'amsel', PASSWORD)
    expect(inside.kind).toBe('in')
    await restored.append(HERE, batch(9_000, 1))
    expect(await verifyLedger(restored, HERE)).toMatchObject({ kind: 'whole', entries: last + 1 })
    await expect(there.db.deleteFrom('ledger').execute()).rejects.toThrow(/append-only/)
    await Promise.all([ledger.close(), restored.close()])
  }, 60_000)

  it('is brought back to an empty place only, and what is no backup nowhere', async () => {
    const [database, file] = [await newPlace(), join(folder, `${name}.second`)]
    const { ledger } = await openLedger({ database, facility: HERE }, nowMs, false)
    await ledger.append(HERE, batch(1, 2))
    await runCommand(backup, [file, '--database', database])
    await expect(runCommand(restore, [file, '--database', database])).rejects.toThrow(/already/)
    expect(await ledger.last(HERE)).toBe(2)
    await expect(runCommand(backup, [file, '--database', database])).rejects.toThrow(/is there already/)
    await ledger.close()

    const other = join(folder, `${name}.txt`)
    writeFileSync(other, 'a shopping list')
    const place = await newPlace()
    await expect(runCommand(restore, [other, '--database', place])).rejects.toThrow(/is no backup/)
    const wrong = name === 'SQLite' ? await server.newDatabase() : await newFile()
    await expect(runCommand(restore, [file, '--database', wrong])).rejects.toThrow(/is a backup of/)
    await expect(runCommand(restore, [`${file}-gone`, '--database', place])).rejects.toThrow(
      /there is no backup/,
    )
  }, 60_000)
})

describe('a backup that was damaged', () => {
  it('is told by its broken chain when it is brought back', async () => {
    const [database, place, file] = [await newFile(), await newFile(), join(folder, 'damaged.backup')]
    const { ledger } = await openLedger({ database, facility: HERE }, nowMs, false)
    await ledger.append(HERE, batch(1, 5))
    await ledger.close()
    await runCommand(backup, [file, '--database', database])
    const copy = openDatabase(file)
    await sql`drop trigger ledger_no_update`.execute(copy.db)
    await copy.db.updateTable('ledger').set({ text: '{"id":"x"}' }).where('sequence', '=', 3).execute()
    await copy.db.destroy()
    const back = await runCommand(restore, [file, '--database', place])
    expect(back).toMatchObject({ exit: 1, said: expect.stringMatching(/BROKEN at entry 3/) })
  })
})
