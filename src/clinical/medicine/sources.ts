import { z } from 'zod'
import type { Source } from '../worked.ts'
import register from './data/sources.json' with { type: 'json' }

const STANDINGS = [
  'verified',
  'verified-secondary',
  'computed',
  'from memory',
  'common practice, no source',
  'design rule',
] as const

/** How well a statement stands: see `Standing` in worked.ts. */
export const StandingSchema = z.enum(STANDINGS)

/** A source as a document writes it down. */
export const SourceEntry = z.strictObject({
  cite: z.string().min(1),
  place: z.string().min(1).optional(),
  standing: StandingSchema,
})

export type SourceKey = keyof typeof register

/** Every source this subject rests on, each written once in data/sources.json. */
export const SOURCES: Readonly<Record<SourceKey, Source>> = asSources(register)

/**
 * Entries of a document as sources that know their key.
 * @throws ZodError when an entry has a field it should not have, or lacks one
 */
export function asSources<Key extends string>(entries: Record<Key, unknown>): Readonly<Record<Key, Source>> {
  const read = Object.entries(entries).map(([key, entry]) => {
    const { place, ...rest } = SourceEntry.parse(entry)
    return [key, { key, ...rest, ...(place !== undefined && { place }) }]
  })
  return Object.fromEntries(read)
}
