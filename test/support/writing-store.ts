import { openDatabase } from '../../src/store/database.ts'
import { Ledger } from '../../src/store/ledger.ts'
import { TestWriter } from './facts.ts'

const NOW = '2026-03-10T12:00:00.000Z'

/** Appends batches of one to four facts, and tells the highest number of each once it is acknowledged. */
export async function appendForever(
  address: string,
  seed: number,
  batches: number,
  acknowledged: (sequence: number) => void,
): Promise<void> {
  const ledger = new Ledger(openDatabase(address))
  const writer = new TestWriter(NOW, seed)
  for (let turn = 0; batches === 0 || turn < batches; turn += 1) {
    const facts = Array.from({ length: 1 + (turn % 4) }, () =>
      writer.write('patient-away', { patientId: `patient-${seed}` }, { reason: 'imaging' }),
    )
    const appended = await ledger.append('larkmere', { facts, receivedAt: NOW, deviceAheadMs: null })
    const last = appended.at(-1)
    if (last?.status !== 'stored') throw new Error(`not stored: ${JSON.stringify(last)}`)
    acknowledged(last.sequence)
    // Lets the line reach the pipe before the next batch, and others have a turn.
    await new Promise((resolve) => setImmediate(resolve))
  }
  await ledger.close()
}
