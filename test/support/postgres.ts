import { type ChildProcess, execFileSync, spawn } from 'node:child_process'
import { chmodSync, chownSync, existsSync, mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import pg from 'pg'

/** A PostgreSQL server that a test file starts for itself and throws away. */
export type ThrowawayPostgres = {
  /** The address of a new, empty database on it. */
  readonly newDatabase: () => Promise<string>
  readonly close: () => Promise<void>
}

const ROOT = '/usr/lib/postgresql'
const READY_TIMEOUT_MS = 30_000

function programs(): string {
  const versions = existsSync(ROOT) ? readdirSync(ROOT).sort((a, b) => Number(b) - Number(a)) : []
  const found = versions
    .map((version) => join(ROOT, version, 'bin'))
    .find((bin) => existsSync(`${bin}/initdb`))
  if (found) return found
  throw new Error(
    'These tests run against a real PostgreSQL server, and none is installed. On Debian: ' +
      'apt-get install -y --no-install-recommends postgresql. Then run the tests again.',
  )
}

/** PostgreSQL refuses to run as root, so root hands it to the user that Debian's package made. */
function owner(): { uid: number; gid: number } | Record<string, never> {
  if (process.getuid?.() !== 0) return {}
  const line = readFileSync('/etc/passwd', 'utf8')
    .split('\n')
    .find((each) => each.startsWith('postgres:'))
  const [, , uid, gid] = line?.split(':') ?? []
  if (uid === undefined) throw new Error('There is no user postgres; install the Debian package postgresql.')
  return { uid: Number(uid), gid: Number(gid) }
}

/** Starts a server on a socket in a folder of its own: no port, no clash with another test file. */
export async function startPostgres(): Promise<ThrowawayPostgres> {
  const bin = programs()
  const who = owner()
  const folder = mkdtempSync(join(tmpdir(), 'mistwright-pg-'))
  if (who.uid !== undefined) chownSync(folder, who.uid, who.gid)
  chmodSync(folder, 0o755)
  const data = join(folder, 'data')
  execFileSync(`${bin}/initdb`, ['-D', data, '-A', 'trust', '-U', 'postgres', '-E', 'UTF8', '--no-sync'], {
    ...who,
    cwd: folder,
    stdio: ['ignore', 'ignore', 'inherit'],
  })
  const settings = {
    listen_addresses: '',
    unix_socket_directories: folder,
    fsync: 'off',
    log_min_messages: 'fatal',
  }
  const options = Object.entries(settings).flatMap(([name, value]) => ['-c', `${name}=${value}`])
  const server = spawn(`${bin}/postgres`, ['-D', data, ...options], { ...who, cwd: folder, stdio: 'ignore' })
  const address = (name: string) => `postgres://postgres@/${name}?host=${encodeURIComponent(folder)}`
  await ready(server, address('postgres'))
  let made = 0
  return {
    newDatabase: async () => {
      made += 1
      await ask(address('postgres'), `create database t${made}`)
      return address(`t${made}`)
    },
    close: async () => {
      const ended = new Promise((resolve) => server.once('exit', resolve))
      server.kill('SIGQUIT')
      await ended
      rmSync(folder, { recursive: true, force: true })
    },
  }
}

async function ask(address: string, question: string): Promise<void> {
  const client = new pg.Client({ connectionString: address })
  await client.connect()
  try {
    await client.query(question)
  } finally {
    await client.end()
  }
}

async function ready(server: ChildProcess, address: string): Promise<void> {
  const until = Date.now() + READY_TIMEOUT_MS
  while (true) {
    try {
      return await ask(address, 'select 1')
    } catch (error) {
      if (server.exitCode !== null || Date.now() > until) throw error
      await new Promise((resolve) => setTimeout(resolve, 50))
    }
  }
}
