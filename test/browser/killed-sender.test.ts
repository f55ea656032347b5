import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { openLedger } from '../../src/cli/open.ts'
import { openDatabase } from '../../src/store/database.ts'
import { Ledger } from '../../src/store/ledger.ts'
import { verifyLedger } from '../../src/store/verify.ts'
import { QID_ALBUTEROL, TestWriter } from '../support/facts.ts'
import { controlIdOf, RawReceiver } from '../support/mllp.ts'
import { treated } from '../support/treatment.ts'
import { ServerProcess } from '../torture/server-process.ts'

const HERE = 'larkmere'
const folder = mkdtempSync(join(tmpdir(), 'mistwright-sender-'))
const database = join(folder, 'mistwright.db')
const receiver = new RawReceiver()
let server: ServerProcess

beforeAll(async () => {
  const port = await receiver.listen()
  const us = { application: 'PHARMACY', facility: 'LARKMERE' }
  const send = [
    { name: 'pharmacy', host: '127.0.0.1', port, receiver: us, messages: ['RAS^O17'], firstWaitSeconds: 0.1 },
  ]
  const feeds = join(folder, 'feeds.json')
  writeFileSync(feeds, JSON.stringify({ send }))
  server = new ServerProcess({ database, facility: HERE, folder, name: 'sender', feeds })
})
afterAll(async () => {
  await server.stop('SIGTERM')
  await receiver.close()
  rmSync(folder, { recursive: true, force: true })
})

it('sends again, the same to the byte, what was sent and not answered when the server was killed', async () => {
  await server.start()
  const writer = new TestWriter('2026-03-10T10:00:00.000Z')
  const about = { patientId: 'p', orderId: 'o', visitId: 'v1' }
  const patch = { mrn: 'LK204101', family: 'Kestrel', given: 'Anselm', dob: '1962-10-17' }
  const facts = [
    writer.write('census-updated', { patientId: 'p' }, { event: 'admitted', patch }),
    writer.write(
      'order-placed',
      { patientId: 'p', orderId: 'o' },
      { order: QID_ALBUTEROL, channel: 'hl7v2' },
    ),
    ...treated(writer, about),
  ]
  receiver.reply = 'silence'
  const beside = (await openLedger({ database, facility: HERE }, Date.now, true)).ledger
  await beside.append(HERE, { facts, receivedAt: new Date().toISOString(), deviceAheadMs: null })
  await beside.close()
  await receiver.until(1)
  await server.stop('SIGKILL')
  expect(receiver.heard).toHaveLength(1)

  receiver.reply = 'AA'
  // The line of the one that was killed is kept for it until its time is over; the clock goes on meanwhile.
  server.setClockAhead(10 * 60_000)
  await server.start()
  await receiver.until(2)
  const ledger = new Ledger(openDatabase(database))
  const answered = async () =>
    (await ledger.after(HERE, 0, 1000))
      .map(({ text }) => JSON.parse(text))
      .filter(({ kind }) => kind === 'message-answered')
  while ((await answered()).length === 0) await new Promise((resolve) => setTimeout(resolve, 50))
  expect((await answered()).map(({ body }) => body.outcome)).toEqual(['taken'])
  expect(new Set(receiver.heard)).toEqual(new Set([receiver.heard[0]]))
  expect(new Set(receiver.heard.map(controlIdOf)).size).toBe(1)
  expect(await verifyLedger(ledger, HERE)).toMatchObject({ kind: 'whole' })
  await ledger.close()
})
