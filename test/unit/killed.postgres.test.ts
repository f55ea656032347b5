import { afterAll, beforeAll, expect, it } from 'vitest'
import { openDatabase } from '../../src/store/database.ts'
import { Ledger } from '../../src/store/ledger.ts'
import { migrate } from '../../src/store/steps.ts'
import { verifyLedger } from '../../src/store/verify.ts'
import { TestWriter } from '../support/facts.ts'
import { startPostgres, type ThrowawayPostgres } from '../support/postgres.ts'

const NOW = '2026-03-10T12:00:00.000Z'
const HERE = 'larkmere'
/** Several at once, so that when the blow falls some are being written, some wait for their turn. */
const [WRITERS, FACTS_A_BATCH, BLOWS] = [4, 150, 3]
let server: ThrowawayPostgres
beforeAll(async () => {
  server = await startPostgres({ fsync: 'on' })
}, 60_000)
afterAll(() => server?.close())

it('has after kill -9 of PostgreSQL every batch that it acknowledged, and of the others all or nothing', async () => {
  const address = await server.newDatabase()
  const first = openDatabase(address)
  await migrate(first.db, first.kind, NOW)
  await first.db.destroy()
  const acknowledged = new Map<string, number>()
  const sent: string[][] = []
  let unanswered = 0
  for (let blow = 1; blow <= BLOWS; blow += 1) {
    const ledger = new Ledger(openDatabase(address))
    const before = acknowledged.size
    const work = Array.from({ length: WRITERS }, async (_, at) => {
      const writer = new TestWriter(NOW, blow * 100 + at)
      while (true) {
        const facts = Array.from({ length: FACTS_A_BATCH }, () =>
          writer.write('patient-away', { patientId: 'p' }, { reason: 'imaging' }),
        )
        sent.push(facts.map(({ id }) => id))
        const answers = await ledger.append(HERE, { facts, receivedAt: NOW, deviceAheadMs: null })
        for (const answer of answers)
          if (answer.status === 'stored') acknowledged.set(answer.id, answer.sequence)
      }
    })
    const ended = Promise.allSettled(work)
    while (acknowledged.size < before + WRITERS * FACTS_A_BATCH)
      await new Promise((resolve) => setTimeout(resolve, 5))
    await new Promise((resolve) => setTimeout(resolve, 7 * blow))
    await server.server.stop('SIGKILL')
    const results = await ended
    unanswered += results.filter(({ status }) => status === 'rejected').length
    await ledger.close()
    await server.server.start()
  }
  const ledger = new Ledger(openDatabase(address))
  const stored = new Map<string, number>()
  for await (const { factId, sequence } of ledger.entries(HERE)) stored.set(factId, sequence)
  for (const [id, sequence] of acknowledged) expect(stored.get(id)).toBe(sequence)
  const partly = sent.filter((ids) => {
    const found = ids.filter((id) => stored.has(id)).length
    return found !== 0 && found !== ids.length
  })
  expect(partly).toEqual([])
  expect(unanswered).toBe(WRITERS * BLOWS)
  expect(await verifyLedger(ledger, HERE)).toMatchObject({ kind: 'whole', entries: stored.size })
  await ledger.close()
}, 120_000)
