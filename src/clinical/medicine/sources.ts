import { z } from 'zod'
import { type Source, STANDINGS } from '../worked.ts'
import register from './data/sources.json' with { type: 'json' }

/** A source as a document writes it down. */
export const SourceEntry = z.strictObject({
  cite: z.string().min(1),
  place: z.string().min(1).exactOptional(),
  standing: z.enum(STANDINGS),
})

export type SourceKey = keyof typeof register

/** Every source this subject rests on, each written once in data/sources.json. */
export const SOURCES = Object.fromEntries(
  Object.entries(register).map(([key, entry]) => [key, { key, ...SourceEntry.parse(entry) }]),
) as Readonly<Record<SourceKey, Source>>
