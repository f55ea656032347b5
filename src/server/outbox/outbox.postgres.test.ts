import { afterAll, beforeAll } from 'vitest'
import { outboxSuite } from '../../../test/support/outbox-suite.ts'
import { startPostgres, type ThrowawayPostgres } from '../../../test/support/postgres.ts'

let server: ThrowawayPostgres
beforeAll(async () => {
  server = await startPostgres()
}, 60_000)
afterAll(() => server?.close())

outboxSuite('PostgreSQL', () => server.newDatabase(), { severalServers: true })
