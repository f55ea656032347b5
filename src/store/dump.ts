import { spawn } from 'node:child_process'
import { existsSync } from 'node:fs'
import { finishCopy } from './backup.ts'

/** Thrown when a program of PostgreSQL's own is not there, or did not end well. */
export class DumpFailed extends Error {
  override readonly name = 'DumpFailed'
}

/**
 * Dumps a PostgreSQL database that is in use, as it stands at one instant, into a new file (pg_dump's custom format).
 * The file bears its name only once it is whole and on the disk.
 */
export async function dumpInto(address: string, path: string): Promise<void> {
  await finishCopy(path, (partial) =>
    run('pg_dump', ['--format=custom', '--compress=1', `--file=${partial}`, `--dbname=${address}`]),
  )
}

/** Restores a dump into an empty database, wholly or not at all. Owner and rights are those of who restores. */
export async function restoreDump(path: string, address: string): Promise<void> {
  if (!existsSync(path)) throw new Error(`there is no backup at ${path}`)
  const how = ['--exit-on-error', '--single-transaction', '--no-owner', '--no-privileges']
  await run('pg_restore', [...how, `--dbname=${address}`, path])
}

function run(program: string, words: readonly string[]): Promise<void> {
  return new Promise((resolve, reject) => {
    const child = spawn(program, words, { stdio: ['ignore', 'ignore', 'pipe'] })
    let said = ''
    child.stderr.on('data', (chunk: Buffer) => {
      said += chunk.toString()
    })
    child.once('error', () =>
      reject(new DumpFailed(`${program} could not be started; install PostgreSQL's client programs`)),
    )
    child.once('close', (code) => {
      if (code === 0) resolve()
      else
        reject(
          new DumpFailed(`${program} ended with ${code}: ${said.trim().split('\n').slice(0, 3).join(' ')}`),
        )
    })
  })
}
