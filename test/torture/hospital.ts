import { chmodSync, mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { openLedger } from '../../src/cli/open.ts'
import { People } from '../../src/server/people.ts'
import { givePostgres, PostgresServer } from '../support/postgres-server.ts'
import { Relay } from './relay.ts'
import { SECRET, ServerProcess } from './server-process.ts'
import { SmallDisk } from './small-disk.ts'

export type StoreKind = 'sqlite' | 'postgres'
export const FACILITY = 'larkmere'
export const passwordOf = (personId: string) => `${personId} keeps seven herons`

const DISK_MB = { sqlite: 512, postgres: 1024 } as const

/** Servers, their database on a disk that can be full, and the network before them; each can be killed alone. */
export type Hospital = {
  readonly kind: StoreKind
  readonly folder: string
  /** The address of the ledger. */
  readonly database: string
  readonly servers: readonly ServerProcess[]
  readonly postgres: PostgresServer | null
  readonly relay: Relay
  readonly disk: SmallDisk
  /** What tablets call. */
  readonly origin: string
  readonly close: () => Promise<void>
}

/** One server on a file, or two on one PostgreSQL that waits for the disk. `staff` may sign in as therapists. */
export async function openHospital(kind: StoreKind, staff: readonly string[]): Promise<Hospital> {
  const folder = mkdtempSync(join(tmpdir(), 'mistwright-torture-'))
  // The database server's user must get to its disk.
  chmodSync(folder, 0o755)
  const disk = new SmallDisk(join(folder, 'disk'), DISK_MB[kind])
  const postgres = kind === 'postgres' ? await openPostgres(disk.folder) : null
  const database = postgres ? postgres.address('ledger') : join(disk.folder, 'ledger.db')
  await addStaff(database, staff)
  const names = postgres ? ['one', 'two'] : ['one']
  const servers = names.map((name) => new ServerProcess({ database, facility: FACILITY, folder, name }))
  for (const server of servers) await server.start()
  const relay = await Relay.open()
  relay.leadTo(servers.map(({ port }) => port))
  return {
    kind,
    folder,
    database,
    servers,
    postgres,
    relay,
    disk,
    origin: `http://127.0.0.1:${relay.port}`,
    close: async () => {
      await relay.close()
      for (const server of servers) await server.stop('SIGTERM')
      await postgres?.stop('SIGINT')
      disk.close()
      rmSync(folder, { recursive: true, force: true })
    },
  }
}

async function openPostgres(folder: string): Promise<PostgresServer> {
  givePostgres(folder)
  const postgres = new PostgresServer(folder, { fsync: 'on', max_wal_size: '64MB', shared_buffers: '32MB' })
  postgres.init('--wal-segsize=1')
  await postgres.start()
  await postgres.ask('postgres', 'create database ledger')
  return postgres
}

async function addStaff(database: string, staff: readonly string[]): Promise<void> {
  const nowMs = () => Date.now()
  const { open, ledger } = await openLedger({ database, facility: FACILITY }, nowMs, false)
  const config = { secret: SECRET, baseUrl: 'http://127.0.0.1', idleMinutes: 60, longestHours: 13 }
  const people = await People.open(open, config, nowMs)
  for (const personId of staff) {
    const named = { facility: FACILITY, personId, name: personId, role: 'therapist' as const }
    await people.add({ ...named, password: passwordOf(personId) })
  }
  await ledger.close()
}
