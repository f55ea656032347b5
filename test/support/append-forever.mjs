/**
 * A process that appends to a ledger until it is killed, or has appended as often as it was told, and says each
 * number only after the ledger has acknowledged it. Words: database, seed of its ids, batches (0 for no end).
 */
import { runnerImport } from 'vite'

const [, , address, seed, batches] = process.argv
const { module: store } = await runnerImport('./test/support/writing-store.ts')
await store.appendForever(address, Number(seed), Number(batches), (sequence) =>
  process.stdout.write(`${sequence}\n`),
)
