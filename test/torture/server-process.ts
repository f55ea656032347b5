import { type ChildProcess, spawn } from 'node:child_process'
import { writeFileSync } from 'node:fs'
import { join } from 'node:path'

const START_TIMEOUT_MS = 30_000

export type ServerWords = {
  /** The address of the ledger. */
  readonly database: string
  readonly facility: string
  /** A folder for what the server is told from outside: its clock. */
  readonly folder: string
  readonly name: string
  /** The file of lines to other systems; none when left out. */
  readonly feeds?: string
}

export const SECRET = 'a secret of forty signs for tortured days'

/** One process of the built server, started, killed and started again on the same port. */
export class ServerProcess {
  readonly #words: ServerWords
  #child: ChildProcess | null = null
  #said = ''
  port = 0

  constructor(words: ServerWords) {
    this.#words = words
    this.setClockAhead(0)
  }

  get #clockFile(): string {
    return join(this.#words.folder, `clock-${this.#words.name}`)
  }

  setClockAhead(ms: number): void {
    writeFileSync(this.#clockFile, String(ms))
  }

  get pid(): number {
    return this.#child?.pid ?? 0
  }

  get running(): boolean {
    return this.#child !== null && this.#child.exitCode === null && this.#child.signalCode === null
  }

  /** All that it wrote since it was started last. */
  get said(): string {
    return this.#said
  }

  /** Starts it and waits until it says its address. @throws Error with what it said, when it ends or is late */
  async start(): Promise<void> {
    const { database, facility, feeds } = this.#words
    const child = spawn(
      process.execPath,
      [
        '--import',
        './test/support/clock.mjs',
        'dist/cli/mistwright.js',
        'start',
        '--port',
        String(this.port),
      ],
      {
        stdio: ['ignore', 'pipe', 'pipe'],
        env: {
          ...process.env,
          NODE_ENV: 'production',
          DATABASE: database,
          FACILITY: facility,
          SECRET,
          LOG_LEVEL: 'error',
          CLOCK_FILE: this.#clockFile,
          ...(feeds !== undefined && { FEEDS: feeds }),
        },
      },
    )
    this.#child = child
    this.#said = ''
    await new Promise<void>((resolve, reject) => {
      const fail = (why: string) => reject(new Error(`${why}:\n${this.#said}`))
      const late = setTimeout(() => fail('the server did not start in time'), START_TIMEOUT_MS)
      const hear = (chunk: Buffer) => {
        this.#said += chunk.toString()
        const port = /http:\/\/127\.0\.0\.1:(\d+)/.exec(this.#said)?.[1]
        if (port === undefined) return
        clearTimeout(late)
        this.port = Number(port)
        resolve()
      }
      child.stdout?.on('data', hear)
      child.stderr?.on('data', hear)
      child.once('exit', (code, signal) => {
        clearTimeout(late)
        fail(`the server ended with ${code ?? signal}`)
      })
    })
  }

  /** Ends it; gives its exit code, or the signal that ended it, or null when it did not run. */
  async stop(signal: 'SIGKILL' | 'SIGTERM'): Promise<number | string | null> {
    const child = this.#child
    if (!child || !this.running) return null
    const ended = new Promise((resolve) => child.once('exit', resolve))
    child.kill(signal)
    await ended
    return child.exitCode ?? child.signalCode
  }
}
