import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { givePostgres, PostgresServer } from './postgres-server.ts'

/** A PostgreSQL server that a test file starts for itself and throws away. */
export type ThrowawayPostgres = {
  readonly server: PostgresServer
  /** The address of a new, empty database on it. */
  readonly newDatabase: () => Promise<string>
  readonly close: () => Promise<void>
}

/** Starts a server in a folder of its own; it need not survive anything, so it does not wait for the disk. */
export async function startPostgres(
  settings: Readonly<Record<string, string>> = { fsync: 'off' },
): Promise<ThrowawayPostgres> {
  const folder = mkdtempSync(join(tmpdir(), 'mistwright-pg-'))
  givePostgres(folder)
  const server = new PostgresServer(folder, settings)
  server.init()
  await server.start()
  let made = 0
  return {
    server,
    newDatabase: async () => {
      made += 1
      await server.ask('postgres', `create database t${made}`)
      return server.address(`t${made}`)
    },
    close: async () => {
      await server.stop('SIGQUIT')
      rmSync(folder, { recursive: true, force: true })
    },
  }
}
