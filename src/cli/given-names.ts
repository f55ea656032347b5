import { z } from 'zod'
import type { Calculation } from '../clinical/calculation.ts'
import type { BadInput } from '../clinical/worked.ts'
import table from './given-names.table.json' with { type: 'json' }

const NAMES: Readonly<Record<string, readonly string[]>> = table.names

/**
 * A refused field under the name by which it came in: a calculation's rooms name a figure in their own way, and whoever
 * sent `age_years` must not be told of `ageYears`. A name that has no such counterpart stays as it is.
 */
export function nameAsGiven({ input }: Calculation, error: BadInput, given: unknown): string {
  const [, place = '', inner = ''] = error.field.match(/^(\w+\[\d+\]\.)?(.*)$/s) ?? []
  const known = fieldNames(input)
  const sent = valuesByName(given)
  if (inner.split('.').every((name) => sent.has(name))) return error.field
  const candidates = namesFor(inner).filter((name) => known.has(name))
  const best =
    candidates.find((name) => sent.get(name)?.includes(error.given)) ??
    candidates.find((name) => sent.has(name)) ??
    (known.has(inner) ? inner : candidates[0])
  return best === undefined ? error.field : `${place}${best}`
}

/** By the whole name, then by its last part; `volume of …` and `unit 2` by their first word. */
function namesFor(inner: string): readonly string[] {
  const last = inner.split('.').at(-1) ?? inner
  const first = inner.split(' of ')[0] ?? inner
  return [inner, last, first].flatMap((name) => [...(NAMES[name] ?? []), name])
}

const known = new WeakMap<z.ZodType, ReadonlySet<string>>()

/** The name of every field of an input, at any depth. */
function fieldNames(input: z.ZodType): ReadonlySet<string> {
  const found =
    known.get(input) ?? new Set(namesIn(z.toJSONSchema(input, { io: 'input', unrepresentable: 'any' })))
  known.set(input, found)
  return found
}

function namesIn(schema: unknown): string[] {
  if (schema === null || typeof schema !== 'object') return []
  const own = 'properties' in schema ? Object.keys(schema.properties as object) : []
  return [...own, ...Object.values(schema).flatMap(namesIn)]
}

/** Every value that came in, by the name of its field, at any depth. */
function valuesByName(given: unknown, into = new Map<string, unknown[]>()): ReadonlyMap<string, unknown[]> {
  if (given === null || typeof given !== 'object') return into
  for (const [name, value] of Object.entries(given)) {
    into.set(name, [...(into.get(name) ?? []), value])
    valuesByName(value, into)
  }
  return into
}
