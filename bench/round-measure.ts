import { readFileSync } from 'node:fs'

const FOLDER = 'test/planning/test-data/'

/** A planning file of the project as text, by its path under test-data. */
export const text = (path: string): string => readFileSync(`${FOLDER}${path}`, 'utf8')

/** The rows of a table of the project, by column name. */
export function table(path: string): Record<string, string>[] {
  const [head = '', ...lines] = text(path).trim().split('\n')
  const names = head.split(',')
  return lines.map((line) => {
    const cells = line.split(',')
    return Object.fromEntries(names.map((name, i) => [name, cells[i] ?? '']))
  })
}

/** Milliseconds of processor time this process has used: the machine may be shared, so the clock on the wall says little. */
export function cpuMs(): number {
  const { user, system } = process.cpuUsage()
  return (user + system) / 1000
}

/** The system is asked for the processor time at most this often [ms on the wall]: asking costs a tenth of a millisecond. */
const ASK_EVERY_MS = 3

/** A clock [ms] that a search may read as often as it likes: processor time of this process, or the wall's. */
export function searchClock(onTheWall: boolean): () => number {
  if (onTheWall) return () => performance.now()
  let asked = Number.NEGATIVE_INFINITY
  let told = 0
  return () => {
    const wall = performance.now()
    if (wall - asked < ASK_EVERY_MS) return told
    asked = wall
    told = cpuMs()
    return told
  }
}

/** Processor and wall milliseconds of a piece of work, and what it gave. */
export function timed<T>(work: () => T): { readonly value: T; readonly cpu: number; readonly wall: number } {
  const wall = performance.now()
  const cpu = cpuMs()
  const value = work()
  return { value, cpu: cpuMs() - cpu, wall: performance.now() - wall }
}

export const mean = (values: readonly number[]): number =>
  values.reduce((sum, value) => sum + value, 0) / values.length

export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b)
  const half = sorted.length >> 1
  return sorted.length % 2 === 1
    ? (sorted[half] as number)
    : ((sorted[half - 1] as number) + (sorted[half] as number)) / 2
}

/** How far a cost lies above a reference, in percent; below zero when it beats it. */
export const above = (cost: number, reference: number): number => 100 * (cost / reference - 1)

export const percent = (value: number): string => `${value.toFixed(2).padStart(6)} %`

export const seconds = (ms: number): string => `${(ms / 1000).toFixed(0)} s`
