import { closeSync, existsSync, fsyncSync, mkdirSync, openSync, readSync, renameSync, rmSync } from 'node:fs'
import { dirname } from 'node:path'
import { type Kysely, sql } from 'kysely'
import { openDatabase } from './database.ts'
import type { Tables } from './schema.ts'

/** Copies an SQLite database that is in use into a new file. */
export async function copyInto(db: Kysely<Tables>, path: string): Promise<void> {
  await finishCopy(path, async (partial) => {
    await sql`vacuum into ${partial}`.execute(db)
  })
}

/**
 * Puts a copy of an SQLite ledger where a server will find it; what lies there, even a log alone, is left as it is. The
 * copy is read through the database, not byte by byte: its last entries may lie in a log beside it.
 */
export async function restoreFile(path: string, target: string): Promise<void> {
  for (const beside of [`${target}-wal`, `${target}-shm`]) mustBeFree(beside)
  const { db } = openDatabase(path)
  try {
    await copyInto(db, target)
  } finally {
    await db.destroy()
  }
}

/** What kind of backup a file is, by how it begins; null for neither. @throws Error when there is none */
export function backupKind(path: string): 'sqlite' | 'postgres' | null {
  if (!existsSync(path)) throw new Error(`there is no backup at ${path}`)
  const begins = Buffer.alloc(16)
  const file = openSync(path, 'r')
  readSync(file, begins, 0, 16, 0)
  closeSync(file)
  if (begins.toString('latin1') === 'SQLite format 3\0') return 'sqlite'
  return begins.subarray(0, 5).toString('latin1') === 'PGDMP' ? 'postgres' : null
}

/**
 * Lets a new file be written that its owner alone can read. It bears its name only once it is whole and on the disk,
 * so a copy that was cut off can never pass for a backup.
 * @throws Error naming the path when something lies there already
 */
export async function finishCopy(path: string, write: (partial: string) => Promise<void>): Promise<void> {
  mustBeFree(path)
  mkdirSync(dirname(path), { recursive: true })
  const partial = `${path}.partial`
  rmSync(partial, { force: true })
  closeSync(openSync(partial, 'wx', 0o600))
  await write(partial)
  toDisk(partial)
  renameSync(partial, path)
  toDisk(dirname(path))
}

function mustBeFree(path: string): void {
  if (!existsSync(path)) return
  throw new Error(`${path} is there already and was left as it is; name a file that is not there yet`)
}

function toDisk(path: string): void {
  const file = openSync(path, 'r')
  try {
    fsyncSync(file)
  } finally {
    closeSync(file)
  }
}
