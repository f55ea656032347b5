import { type ChildProcess, spawn } from 'node:child_process'
import { expect } from 'vitest'
import { openDatabase } from '../../src/store/database.ts'
import { Ledger } from '../../src/store/ledger.ts'
import { verifyLedger } from '../../src/store/verify.ts'
import type { appendForever } from './writing-store.ts'

/** The database, the seed of its ids, and how many batches; 0 for no end. */
type Words = Parameters<typeof appendForever> extends [...infer Said, unknown] ? Said : never

/** A child process that appends to a ledger; see append-forever.mjs. `acknowledged` grows while it runs. */
export function startWriter(...words: Words) {
  const child: ChildProcess = spawn(
    process.execPath,
    ['test/support/append-forever.mjs', ...words.map(String)],
    { stdio: ['ignore', 'pipe', 'inherit'] },
  )
  let said = ''
  const full = () => said.slice(0, said.lastIndexOf('\n') + 1)
  child.stdout?.on('data', (chunk: Buffer) => {
    said += chunk.toString()
  })
  return {
    child,
    /** Numbers that the ledger acknowledged and that were said in full. */
    acknowledged: () => full().split('\n').filter(Boolean).map(Number),
    ended: new Promise<number | null>((resolve) => child.once('close', (code) => resolve(code))),
  }
}

/**
 * Two processes write at once while a third connection asks again and again for everything after what it has: it
 * must see every number once, in order, and the chain must hold.
 */
export async function readWhileTwoWrite(address: string): Promise<void> {
  const ledger = new Ledger(openDatabase(address))
  const writers = [startWriter(address, 7, 40), startWriter(address, 11, 40)]
  let writing = true
  const ended = Promise.all(writers.map((writer) => writer.ended)).finally(() => {
    writing = false
  })
  const seen: number[] = []
  while (true) {
    const stillWriting = writing
    const entries = await ledger.after('larkmere', seen.at(-1) ?? 0, 50)
    seen.push(...entries.map(({ sequence }) => sequence))
    if (!stillWriting && entries.length === 0) break
    await new Promise((resolve) => setTimeout(resolve, 1))
  }
  expect(await ended).toEqual([0, 0])
  // 40 batches of one to four facts, twice.
  expect(seen).toEqual(Array.from({ length: 200 }, (_, at) => at + 1))
  expect(await verifyLedger(ledger, 'larkmere')).toMatchObject({ kind: 'whole', entries: 200 })
  const interleaved = writers.map((writer) => writer.acknowledged()).map((numbers) => numbers.at(-1) ?? 0)
  expect(Math.max(...interleaved)).toBe(200)
  await ledger.close()
}
