import { readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'

const folder = fileURLToPath(new URL('./test-data/', import.meta.url))

/** A benchmark file as text, by its path under test-data. */
export const readText = (path: string): string => readFileSync(`${folder}${path}`, 'utf8')

/** A benchmark file as JSON. */
export const readJson = (path: string): unknown => JSON.parse(readText(path))

/** Rows of a benchmark table, by column name. */
export function readTable(path: string): Record<string, string>[] {
  const [head, ...lines] = readText(path).trim().split('\n')
  const names = (head as string).split(',')
  return lines.map((line) =>
    Object.fromEntries(line.split(',').map((value, i) => [names[i] as string, value])),
  )
}

export const SHIFTS = [
  'shift-01-k1-n12',
  'shift-02-k2-n36',
  'shift-03-k3-n105-overload',
  'shift-04-k5-n100',
  'shift-05-k8-n180',
  'shift-06-k12-n240',
] as const

export const EXACT = ['01', '02', '03', '04', '05', '06', '07', '08'].map((number) => `exact-${number}`)
