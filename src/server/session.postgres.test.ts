import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { getMigrations } from 'better-auth/db/migration'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { startPostgres, type ThrowawayPostgres } from '../../test/support/postgres.ts'
import { sessionSuite } from '../../test/support/session-suite.ts'
import { openDatabase } from '../store/database.ts'
import { migrate } from '../store/steps.ts'
import { libraryOptions } from './sign-in-library.ts'

let server: ThrowawayPostgres
beforeAll(async () => {
  server = await startPostgres()
}, 60_000)
afterAll(() => server?.close())

sessionSuite('PostgreSQL', () => server.newDatabase())

describe('the tables of the sign-in library', () => {
  it.each(['sqlite', 'postgres'])('are on %s what it asks for', async (kind) => {
    const folder = mkdtempSync(join(tmpdir(), 'mistwright-'))
    const open = openDatabase(kind === 'sqlite' ? join(folder, 'm.db') : await server.newDatabase())
    await migrate(open.db, open.kind, '2026-03-10T12:00:00.000Z')
    const config = { secret: 's'.repeat(40), baseUrl: 'http://127.0.0.1', idleMinutes: 15, longestHours: 12 }
    const { toBeCreated, toBeAdded } = await getMigrations(libraryOptions(open, config))
    expect({ toBeCreated, toBeAdded }).toEqual({ toBeCreated: [], toBeAdded: [] })
    await open.db.destroy()
    rmSync(folder, { recursive: true })
  })
})
