import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { openDatabase } from '../src/store/database.ts'
import { migrate } from '../src/store/steps.ts'
import { givePostgres, PostgresServer } from '../test/support/postgres-server.ts'

export type Sizes = { readonly facts: number; readonly tablets: number; readonly seconds: number }

export const HERE = 'larkmere'

/** The value that this share of a list does not exceed (nearest rank). */
export function percentile(values: readonly number[], share: number): number {
  const sorted = values.toSorted((a, b) => a - b)
  return sorted[Math.max(0, Math.ceil(share * sorted.length) - 1)] ?? Number.NaN
}

/** Median, 95th and 99th percentile and the most, in milliseconds. */
export function inWords(values: readonly number[]): string {
  const figures = [0.5, 0.95, 0.99, 1].map((share) => percentile(values, share).toFixed(1))
  return `p50 ${figures[0]}, p95 ${figures[1]}, p99 ${figures[2]}, most ${figures[3]} ms (${values.length} times)`
}

export async function timed<T>(act: () => Promise<T>): Promise<{ readonly ms: number; readonly value: T }> {
  const from = performance.now()
  const value = await act()
  return { ms: performance.now() - from, value }
}

export type Place = { readonly address: string; readonly folder: string; readonly close: () => Promise<void> }

/** An empty ledger on SQLite, in a folder of its own. */
export async function onSqlite(): Promise<Place> {
  const folder = mkdtempSync(join(tmpdir(), 'mistwright-bench-'))
  const address = join(folder, 'ledger.db')
  await prepare(address)
  return { address, folder, close: async () => rmSync(folder, { recursive: true, force: true }) }
}

/** An empty ledger on a PostgreSQL that waits for the disk, in a folder of its own. */
export async function onPostgres(
  settings: Record<string, string> = {},
): Promise<Place & { readonly server: PostgresServer }> {
  const folder = mkdtempSync(join(tmpdir(), 'mistwright-bench-'))
  givePostgres(folder)
  const server = new PostgresServer(folder, {
    fsync: 'on',
    max_wal_size: '4GB',
    shared_buffers: '1GB',
    ...settings,
  })
  server.init()
  await server.start()
  await server.ask('postgres', 'create database ledger')
  const address = server.address('ledger')
  await prepare(address)
  const close = async () => {
    await server.stop('SIGINT')
    rmSync(folder, { recursive: true, force: true })
  }
  return { address, folder, server, close }
}

async function prepare(address: string): Promise<void> {
  const { db, kind } = openDatabase(address)
  await migrate(db, kind, new Date().toISOString())
  await db.destroy()
}
