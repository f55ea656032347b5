import { afterAll, beforeAll } from 'vitest'
import { startPostgres, type ThrowawayPostgres } from '../../test/support/postgres.ts'
import { pullSuite } from '../../test/support/pull-suite.ts'

let server: ThrowawayPostgres
beforeAll(async () => {
  server = await startPostgres()
}, 60_000)
afterAll(() => server?.close())

pullSuite('PostgreSQL', () => server.newDatabase())
