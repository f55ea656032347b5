import { type ChildProcess, spawn } from 'node:child_process'
import { existsSync } from 'node:fs'
import { join } from 'node:path'
import { type Browser, chromium, type Page } from 'playwright-core'
import { build } from 'vite'
import type { ChartDigest } from './chart-digest.ts'

type Words = {
  readonly origin: string
  readonly folder: string
  readonly personId: string
  readonly password: string
}

const START_TIMEOUT_MS = 30_000
const pause = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms))

/** The program of the page as one script. */
export async function pageScript(): Promise<string> {
  const built = await build({
    configFile: false,
    logLevel: 'error',
    publicDir: false,
    define: { 'process.env.NODE_ENV': '"production"' },
    build: {
      write: false,
      target: 'es2022',
      lib: { entry: 'test/torture/page.ts', formats: ['iife'], name: 'page' },
    },
  })
  const [first] = Array.isArray(built) ? built : [built]
  const chunk = first && 'output' in first ? first.output[0] : null
  if (!chunk) throw new Error('the program of the page could not be built')
  return chunk.code
}

/** A real browser with a profile of its own, killed as a flat battery would and opened again on the same profile. */
export class BrowserTablet {
  /** Facts of which the page was told that its disk has them. */
  readonly kept = new Set<string>()
  readonly troubles: string[] = []
  readonly #words: Words
  readonly #script: string
  #child: ChildProcess | null = null
  #browser: Browser | null = null
  #page: Page | null = null

  constructor(words: Words, script: string) {
    this.#words = words
    this.#script = script
  }

  /** Opens the browser and begins to write, as soon as the server gives a page to begin on. */
  async open(seed: number, clockAheadMs: number): Promise<void> {
    const endpoint = await this.#launch()
    const browser = await chromium.connectOverCDP(endpoint)
    this.#browser = browser
    const context = browser.contexts()[0] ?? (await browser.newContext())
    const page = context.pages()[0] ?? (await context.newPage())
    this.#page = page
    await context.exposeFunction('kept', (ids: readonly string[]) => {
      for (const id of ids) this.kept.add(id)
    })
    page.on('pageerror', (error) => this.troubles.push(String(error)))
    await this.#arrive(page)
    const { personId, password } = this.#words
    const words = JSON.stringify({ personId, password, seed, clockAheadMs })
    await page.evaluate(`${this.#script};beginTorture(${words});0`)
  }

  /** A page of the server itself: the same origin, so the same storage. */
  async #arrive(page: Page): Promise<void> {
    const until = Date.now() + START_TIMEOUT_MS
    while (true) {
      try {
        const reply = await page.goto(`${this.#words.origin}/api/health`, { timeout: 5000 })
        if (reply?.ok()) return
      } catch (error) {
        if (Date.now() > until || !this.#running) throw error
      }
      await pause(100)
    }
  }

  get #running(): boolean {
    return this.#child !== null && this.#child.exitCode === null && this.#child.signalCode === null
  }

  async #launch(): Promise<string> {
    const program = process.env.CHROMIUM ?? '/usr/bin/chromium'
    if (!existsSync(program)) throw new Error(`No Chromium at ${program}: apt-get install chromium`)
    const child = spawn(
      program,
      [
        '--headless',
        '--remote-debugging-port=0',
        `--user-data-dir=${join(this.#words.folder, 'profile')}`,
        '--no-first-run',
        '--disable-background-networking',
        '--disable-component-update',
        '--disable-dev-shm-usage',
        '--disable-gpu',
        ...(process.getuid?.() === 0 ? ['--no-sandbox'] : []),
        'about:blank',
      ],
      // A group of its own, so that all of its processes can be ended at once.
      { detached: true, stdio: ['ignore', 'ignore', 'pipe'] },
    )
    this.#child = child
    let said = ''
    return new Promise((resolve, reject) => {
      const late = setTimeout(
        () => reject(new Error(`the browser did not start:\n${said}`)),
        START_TIMEOUT_MS,
      )
      child.stderr?.on('data', (chunk: Buffer) => {
        said += chunk.toString()
        const endpoint = /ws:\/\/\S+/.exec(said)?.[0]
        if (endpoint === undefined) return
        clearTimeout(late)
        resolve(endpoint)
      })
      child.once('exit', () => {
        clearTimeout(late)
        reject(new Error(`the browser ended:\n${said}`))
      })
    })
  }

  /** Ends every process of the browser at once. */
  async kill(): Promise<void> {
    const child = this.#child
    if (!child?.pid || !this.#running) return
    const ended = new Promise((resolve) => child.once('exit', resolve))
    process.kill(-child.pid, 'SIGKILL')
    await ended
    await this.#browser?.close().catch(() => undefined)
    this.#page = null
  }

  get #open(): Page {
    if (!this.#page) throw new Error('the browser is not open')
    return this.#page
  }

  /** Stops writing, sends all and takes all of so many facts. @throws Error when it cannot in time */
  async settle(untilMs: number, concerning: () => Promise<number>): Promise<void> {
    const wrong = await this.#open.evaluate(() => window.torture.stop())
    if (wrong !== null) throw new Error(`the page could not write: ${wrong}`)
    while (true) {
      const state = await this.#open.evaluate(() => window.torture.settled())
      if (state.refused > 0) throw new Error(`${state.refused} facts of the browser were refused`)
      if (state.waiting === 0 && state.facts === (await concerning())) return
      if (Date.now() > untilMs) throw new Error(`the browser is not done in time: ${JSON.stringify(state)}`)
      await pause(300)
    }
  }

  /** Of what the shift concerns. */
  digest(): Promise<ChartDigest> {
    return this.#open.evaluate(() => window.torture.digest())
  }
}
