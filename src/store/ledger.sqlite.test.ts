import { existsSync, mkdtempSync, rmSync, statSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { sql } from 'kysely'
import { afterAll, describe, expect, it } from 'vitest'
import { TestWriter } from '../../test/support/facts.ts'
import { ledgerSuite } from '../../test/support/ledger-suite.ts'
import { readWhileTwoWrite, startWriter } from '../../test/support/writers.ts'
import { copyInto } from './backup.ts'
import { openDatabase } from './database.ts'
import { Ledger } from './ledger.ts'
import { migrate } from './steps.ts'
import { verifyLedger } from './verify.ts'

const NOW = '2026-03-10T12:00:00.000Z'
const folder = mkdtempSync(join(tmpdir(), 'mistwright-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))
let made = 0
const newAddress = async () => {
  made += 1
  return join(folder, 'store', `${made}.db`)
}

ledgerSuite('SQLite', newAddress)

const prepared = async () => {
  const address = await newAddress()
  const { db, kind } = openDatabase(address)
  await migrate(db, kind, NOW)
  await db.destroy()
  return address
}

describe('a ledger in a file', () => {
  it('never skips a number for a reader while two processes write at once', async () => {
    await readWhileTwoWrite(await prepared())
  }, 60_000)

  it('has everything it acknowledged after the process is killed in the middle of writing', async () => {
    const address = await prepared()
    let acknowledged = 0
    for (const seed of [1, 2, 3]) {
      const writer = startWriter(address, seed, 0)
      while (writer.acknowledged().length < 25) await new Promise((resolve) => setTimeout(resolve, 2))
      writer.child.kill('SIGKILL')
      expect(await writer.ended).toBeNull()
      const said = writer.acknowledged().at(-1) ?? 0
      expect(said).toBeGreaterThan(acknowledged)
      acknowledged = said
      const ledger = new Ledger(openDatabase(address))
      expect(await ledger.last('larkmere')).toBeGreaterThanOrEqual(acknowledged)
      expect(await verifyLedger(ledger, 'larkmere')).toMatchObject({ kind: 'whole' })
      await ledger.close()
    }
  }, 60_000)

  it('takes the writer place when a transaction begins, so that nothing can be written between its look and its words', async () => {
    const address = await prepared()
    const [one, other] = [openDatabase(address), openDatabase(address)]
    await sql`pragma busy_timeout = 0`.execute(other.db)
    const write = () =>
      other.db.insertInto('schema_step').values({ step: 'in between', done_at: NOW }).execute()
    await one.db.transaction().execute(async () => {
      await expect(write()).rejects.toThrow(/locked/)
    })
    await write()
    await Promise.all([one.db.destroy(), other.db.destroy()])
  })

  it('can be read by its owner alone', async () => {
    const address = await prepared()
    expect(statSync(address).mode & 0o777).toBe(0o600)
  })

  it('is copied while in use; the copy holds on its own, and nothing is written over', async () => {
    const open = openDatabase(await prepared())
    const ledger = new Ledger(open)
    const facts = [1, 2, 3].map((seed) =>
      new TestWriter(NOW, seed).write('patient-away', { patientId: 'p' }, { reason: 'imaging' }),
    )
    await ledger.append('larkmere', { facts, receivedAt: NOW, deviceAheadMs: null })
    const copy = join(folder, 'copy.db')
    await copyInto(open.db, copy)
    expect(statSync(copy).mode & 0o777).toBe(0o600)
    expect(existsSync(`${copy}.partial`)).toBe(false)
    const restored = new Ledger(openDatabase(copy))
    expect(await verifyLedger(restored, 'larkmere')).toEqual(await verifyLedger(ledger, 'larkmere'))
    expect(await restored.last('larkmere')).toBe(3)
    await restored.close()

    const taken = join(folder, 'taken.db')
    writeFileSync(taken, 'mine')
    await expect(copyInto(open.db, taken)).rejects.toThrow(/is there already and was left as it is/)
    expect(statSync(taken).size).toBe(4)
    await ledger.close()
  })
})
