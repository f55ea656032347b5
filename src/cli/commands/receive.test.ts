import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, expect, it } from 'vitest'
import { TestWriter } from '../../../test/support/facts.ts'
import { runCommand } from '../../../test/support/terminal.ts'
import { SITE } from '../../chart/documents/site.ts'
import { idOfNumber } from '../../chart/ids.ts'
import { openLedger } from '../open.ts'
import { receive } from './receive.ts'

const HERE = 'marrowby'
const NOW = '2026-03-10T12:00:00.000Z'
const nowMs = () => Date.parse(NOW)
const folder = mkdtempSync(join(tmpdir(), 'mistwright-receive-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

/** An order whose start is told by the hospital's clock. */
const list = (number: string) =>
  [
    'record_number,order_number,medicine_code,amount,unit,frequency,start,end,as_needed_for,not_closer_than_minutes,indication,prescriber',
    `LK204101,${number},MED0101,2.5,mg,Q4H,2026-03-10 07:00,,,,wheezing,Dr. Ines Harrowgate`,
  ].join('\n')

// Offsets by the time zone database: Chicago is five hours behind UTC from 8 March 2026 on, Honolulu always ten.
it('reads times by the clock of the hospital, as its document in force says', async () => {
  const database = join(folder, 'ledger.db')
  const settings = { database, facility: HERE }
  const { ledger } = await openLedger(settings, nowMs, false)
  const store = (facts: ReturnType<TestWriter['write']>[]) =>
    ledger.append(HERE, { facts, receivedAt: NOW, deviceAheadMs: null })
  const writer = new TestWriter('2026-03-10T11:00:00.000Z')
  const patientId = idOfNumber('patient', HERE, 'LK204101')
  const patch = { mrn: 'LK204101', family: 'Quell', given: 'Ansgar', dob: '1961-04-05' }
  await store([
    { ...writer.write('census-updated', { patientId }, { event: 'admitted', patch }), facility: HERE },
  ])
  const startOf = async (number: string) => {
    const file = join(folder, `${number}.csv`)
    writeFileSync(file, list(number))
    const { said, exit } = await runCommand(receive, ['--database', database, '--facility', HERE, file], {
      nowMs,
    })
    expect([exit, said]).toEqual([0, expect.stringContaining('order-placed')])
    for (const { text } of await ledger.about(HERE, 'patient', patientId)) {
      const { kind, body } = JSON.parse(text)
      if (kind === 'order-placed' && body.order.placer === number) return body.order.startAt
    }
    throw new Error(`there is no order ${number}`)
  }
  expect(await startOf('L-1')).toBe('2026-03-10T12:00:00.000Z')
  const content = { ...SITE.defaults, timeZone: 'Pacific/Honolulu' }
  const adopted = { edition: '2', approvedBy: 'the department', note: '', content }
  await store([{ ...writer.write('document-adopted', { document: 'site' }, adopted), facility: HERE }])
  expect(await startOf('L-2')).toBe('2026-03-10T17:00:00.000Z')
  await ledger.close()
})
