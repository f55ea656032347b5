import { afterAll, beforeAll } from 'vitest'
import { pastVisitsSuite } from '../support/past-visits-suite.ts'
import { startPostgres, type ThrowawayPostgres } from '../support/postgres.ts'

let server: ThrowawayPostgres
beforeAll(async () => {
  server = await startPostgres()
}, 60_000)
afterAll(() => server?.close())

pastVisitsSuite('PostgreSQL', () => server.newDatabase())
