import { appendFileSync, readdirSync } from 'node:fs'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { openDatabase } from '../../src/store/database.ts'
import { Ledger } from '../../src/store/ledger.ts'
import { BrowserTablet, pageScript } from '../torture/browser-tablet.ts'
import { FACILITY, type Hospital, openHospital, passwordOf } from '../torture/hospital.ts'

const PERSON = 'amsel'
let hospital: Hospital
let tablet: BrowserTablet
beforeAll(async () => {
  hospital = await openHospital('sqlite', [PERSON])
  const words = { origin: hospital.origin, folder: hospital.folder, personId: PERSON }
  tablet = new BrowserTablet({ ...words, password: passwordOf(PERSON) }, await pageScript())
})
afterAll(async () => {
  await tablet?.kill()
  await hospital?.close()
})

const untilKept = (more: number) => {
  const wanted = tablet.kept.size + more
  return expect.poll(() => tablet.kept.size, { timeout: 30_000 }).toBeGreaterThanOrEqual(wanted)
}

/**
 * Leaves at the end of the log of the browser's store what a battery leaves that dies while a record is written: its head
 * (checksum, length, kind) and a part of what the head promises.
 */
function tearLog(): void {
  const store = join(hospital.folder, 'profile', 'Default', 'IndexedDB')
  const [folder] = readdirSync(store).filter((name) => name.endsWith('.leveldb'))
  const logs = readdirSync(join(store, folder ?? '')).filter((name) => name.endsWith('.log'))
  expect(logs).toHaveLength(1)
  const head = Buffer.from([1, 2, 3, 4, 0xf4, 0x01, 1])
  appendFileSync(join(store, folder ?? '', logs[0] ?? ''), Buffer.concat([head, Buffer.alloc(100, 7)]))
}

it('outlives a battery that dies in the middle of a record, and dies again, with all that waited to be sent', async () => {
  await tablet.open(1, 0)
  await untilKept(4)
  hospital.relay.cut()
  await untilKept(10)
  await tablet.kill()
  tearLog()

  hospital.relay.mend()
  await tablet.open(2, 0)
  await untilKept(4)
  hospital.relay.cut()
  await untilKept(10)
  await tablet.kill()

  hospital.relay.mend()
  await tablet.open(3, 0)
  const ledger = new Ledger(openDatabase(hospital.database))
  try {
    await tablet.settle(Date.now() + 60_000, () => ledger.last(FACILITY))
    const stored = new Set<string>()
    for await (const { factId } of ledger.entries(FACILITY)) stored.add(factId)
    expect([...tablet.kept].filter((id) => !stored.has(id))).toEqual([])
    expect(tablet.troubles).toEqual([])
  } finally {
    await ledger.close()
  }
}, 180_000)
