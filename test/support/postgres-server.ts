import { type ChildProcess, execFileSync, spawn } from 'node:child_process'
import { chmodSync, chownSync, existsSync, readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import pg from 'pg'

const ROOT = '/usr/lib/postgresql'
const READY_TIMEOUT_MS = 30_000

/** Where the programs of the newest PostgreSQL of this machine lie. @throws Error saying how to install it */
export function postgresPrograms(): string {
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
export function postgresOwner(): { uid: number; gid: number } | Record<string, never> {
  if (process.getuid?.() !== 0) return {}
  const line = readFileSync('/etc/passwd', 'utf8')
    .split('\n')
    .find((each) => each.startsWith('postgres:'))
  const [, , uid, gid] = line?.split(':') ?? []
  if (uid === undefined) throw new Error('There is no user postgres; install the Debian package postgresql.')
  return { uid: Number(uid), gid: Number(gid) }
}

/** Gives a folder to the user that PostgreSQL runs as. */
export function givePostgres(folder: string): void {
  const who = postgresOwner()
  if (who.uid !== undefined) chownSync(folder, who.uid, who.gid)
  chmodSync(folder, 0o755)
}

/** A PostgreSQL server on a socket in a folder of its own: no port, no clash with another test. */
export class PostgresServer {
  readonly folder: string
  readonly data: string
  readonly #settings: Readonly<Record<string, string>>
  #server: ChildProcess | null = null

  /** `folder` must be there, and belong to the server's user (see givePostgres). */
  constructor(folder: string, settings: Readonly<Record<string, string>> = {}) {
    this.folder = folder
    this.data = join(folder, 'data')
    this.#settings = settings
  }

  init(...more: readonly string[]): void {
    this.run('initdb', ['-D', this.data, '-A', 'trust', '-U', 'postgres', '-E', 'UTF8', '--no-sync', ...more])
  }

  /** Runs one of PostgreSQL's programs as the server's user. */
  run(program: string, words: readonly string[]): void {
    const stdio = ['ignore', 'ignore', 'inherit'] as const
    const file = `${postgresPrograms()}/${program}`
    execFileSync(file, words, { ...postgresOwner(), cwd: this.folder, stdio: [...stdio] })
  }

  address(database: string, user = 'postgres'): string {
    return `postgres://${user}@/${database}?host=${encodeURIComponent(this.folder)}`
  }

  get pid(): number {
    return this.#server?.pid ?? 0
  }

  get running(): boolean {
    return this.#server !== null && this.#server.exitCode === null && this.#server.signalCode === null
  }

  async start(): Promise<void> {
    const fixed = { listen_addresses: '', unix_socket_directories: this.folder, log_min_messages: 'fatal' }
    const options = Object.entries({ ...fixed, ...this.#settings }).flatMap(([name, value]) => [
      '-c',
      `${name}=${value}`,
    ])
    const file = `${postgresPrograms()}/postgres`
    const how = { ...postgresOwner(), cwd: this.folder, stdio: 'ignore' as const }
    this.#server = spawn(file, ['-D', this.data, ...options], how)
    await this.#ready()
  }

  async ask(database: string, question: string): Promise<readonly Record<string, unknown>[]> {
    const client = new pg.Client({ connectionString: this.address(database) })
    // A server that is killed while asked ends the question; the event beside it says nothing more.
    client.on('error', () => {})
    await client.connect()
    try {
      return (await client.query(question)).rows
    } finally {
      await client.end()
    }
  }

  /** Ends it: SIGINT in good order, SIGQUIT without, SIGKILL as a power cut would: every process of it at once. */
  async stop(signal: 'SIGINT' | 'SIGQUIT' | 'SIGKILL'): Promise<void> {
    const server = this.#server
    if (!server || !this.running) return
    const ended = new Promise((resolve) => server.once('exit', resolve))
    const children = signal === 'SIGKILL' ? childrenOf(this.pid) : []
    server.kill(signal)
    for (const child of children) killIfThere(child)
    await ended
  }

  async #ready(): Promise<void> {
    const until = Date.now() + READY_TIMEOUT_MS
    while (true) {
      try {
        await this.ask('postgres', 'select 1')
        return
      } catch (error) {
        if (!this.running || Date.now() > until) throw error
        await new Promise((resolve) => setTimeout(resolve, 50))
      }
    }
  }
}

/** Linux names the children of a process in /proc. */
export function childrenOf(pid: number): number[] {
  try {
    return readFileSync(`/proc/${pid}/task/${pid}/children`, 'utf8').split(' ').filter(Boolean).map(Number)
  } catch {
    return []
  }
}

function killIfThere(pid: number): void {
  try {
    process.kill(pid, 'SIGKILL')
  } catch {
    // It had ended by itself.
  }
}
