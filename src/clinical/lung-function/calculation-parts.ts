import { z } from 'zod'
import type { Working } from '../calculation.ts'
import { BadInput, type Range, type Source, type Worked } from '../worked.ts'

/** A number as JSON gives it; what it may be is said by the calculation, which names the range. */
export const Figure = z.number()

/**
 * A field that a calculation cannot do without. Asked for after the fields that are there have been looked at, so
 * that an age outside the range is told before a missing height.
 * @throws BadInput naming the field
 */
export function needed<Value>(field: string, value: Value | null | undefined, allowed: string): Value {
  if (value === undefined || value === null) throw new BadInput(field, undefined, allowed)
  return value
}

/** A range as a refusal tells it. */
export function rangeText({ low, high, unit }: Range): string {
  return `${low} to ${high} ${unit}`
}

/** What a calculation gives back. */
export type Answer = { readonly result: Readonly<Record<string, unknown>>; readonly working: Working }

/** The working of one or more figures, each step and source once. */
export function workingOf(
  figures: readonly (Pick<Worked, 'steps' | 'sources' | 'caution'> | null)[],
  more: Partial<Working> = {},
): Working {
  const worked = figures.filter((figure) => figure !== null)
  const cautions = worked.flatMap(({ caution }) => (caution === undefined ? [] : [caution]))
  return {
    steps: once([...worked.flatMap(({ steps }) => steps), ...(more.steps ?? [])]),
    sources: onceByKey([...worked.flatMap(({ sources }) => sources), ...(more.sources ?? [])]),
    cautions: once([...cautions, ...(more.cautions ?? [])]),
  }
}

function once(texts: readonly string[]): string[] {
  return [...new Set(texts)]
}

function onceByKey(sources: readonly Source[]): Source[] {
  return [...new Map(sources.map((source) => [source.key, source])).values()]
}
