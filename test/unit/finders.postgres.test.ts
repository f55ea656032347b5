import { afterAll, beforeAll } from 'vitest'
import { findersSuite } from '../support/finders-suite.ts'
import { startPostgres, type ThrowawayPostgres } from '../support/postgres.ts'

let server: ThrowawayPostgres
beforeAll(async () => {
  server = await startPostgres()
}, 60_000)
afterAll(() => server?.close())

findersSuite('PostgreSQL', () => server.newDatabase())
