import { type ChildProcess, spawn } from 'node:child_process'
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { CLOCK_AHEAD_MS } from './hospital-clock.ts'

/** A running Mistwright with the invented hospital, on a port of its own and a folder of its own. */
export type Hospital = {
  readonly address: string
  readonly folder: string
  /** Ends the server at once, as a power cut would (SIGKILL). */
  readonly kill: () => Promise<void>
  /** Starts it again on the same folder and the same port. */
  readonly restart: () => Promise<void>
  readonly close: () => Promise<void>
  /** What it wrote to its log since it was started last. */
  readonly log: () => string
}

const START_TIMEOUT_MS = 60_000

/** Starts the built program as a person would, and waits until it says its address. */
export async function openHospital(): Promise<Hospital> {
  const folder = mkdtempSync(join(tmpdir(), 'mistwright-'))
  writeFileSync(join(folder, 'clock'), String(CLOCK_AHEAD_MS))
  let running = await launch(folder, '0')
  const port = new URL(running.address).port
  return {
    address: running.address,
    folder,
    kill: () => ended(running.child, 'SIGKILL'),
    restart: async () => {
      running = await launch(folder, port)
    },
    close: async () => {
      await ended(running.child, 'SIGTERM')
      rmSync(folder, { recursive: true, force: true })
    },
    log: () => running.log(),
  }
}

type Running = { readonly child: ChildProcess; readonly address: string; readonly log: () => string }

function launch(folder: string, port: string): Promise<Running> {
  const child = spawn(
    process.execPath,
    [
      '--import',
      './test/support/clock.mjs',
      'dist/cli/mistwright.js',
      'start',
      '--demo',
      '--port',
      port,
      '--data',
      folder,
    ],
    {
      stdio: ['ignore', 'pipe', 'pipe'],
      env: { ...process.env, NODE_ENV: 'production', CLOCK_FILE: join(folder, 'clock') },
    },
  )
  let said = ''
  return new Promise((resolve, reject) => {
    const late = setTimeout(
      () => reject(new Error(`the server did not start in time:\n${said}`)),
      START_TIMEOUT_MS,
    )
    const hear = (chunk: Buffer) => {
      said += chunk.toString()
      const address = /http:\/\/127\.0\.0\.1:\d+/.exec(said)?.[0]
      if (!address) return
      clearTimeout(late)
      resolve({ child, address, log: () => said })
    }
    child.stdout?.on('data', hear)
    child.stderr?.on('data', hear)
    child.once('exit', (code) => {
      clearTimeout(late)
      reject(new Error(`the server ended with ${code}:\n${said}`))
    })
  })
}

function ended(child: ChildProcess, signal: 'SIGKILL' | 'SIGTERM'): Promise<void> {
  if (child.exitCode !== null || child.signalCode !== null) return Promise.resolve()
  return new Promise((resolve) => {
    child.once('exit', () => resolve())
    child.kill(signal)
  })
}
