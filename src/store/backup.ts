import { closeSync, existsSync, fsyncSync, openSync, renameSync, rmSync } from 'node:fs'
import { dirname } from 'node:path'
import { type Kysely, sql } from 'kysely'
import type { Tables } from './schema.ts'

/**
 * Copies an SQLite database that is in use into a new file. The file bears its name only once it is whole and on the
 * disk, so a copy that was cut off can never pass for a backup.
 */
export async function copyInto(db: Kysely<Tables>, path: string): Promise<void> {
  if (existsSync(path)) {
    throw new Error(`${path} is there already and was left as it is; name a file that is not there yet`)
  }
  const partial = `${path}.partial`
  rmSync(partial, { force: true })
  // An empty file that its owner alone can read: the copy is written into it.
  closeSync(openSync(partial, 'wx', 0o600))
  await sql`vacuum into ${partial}`.execute(db)
  toDisk(partial)
  renameSync(partial, path)
  toDisk(dirname(path))
}

function toDisk(path: string): void {
  const file = openSync(path, 'r')
  try {
    fsyncSync(file)
  } finally {
    closeSync(file)
  }
}
