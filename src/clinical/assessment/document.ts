import { z } from 'zod'
import { type Source, STANDINGS } from '../worked.ts'

/** A source as a document of this subject writes it down. */
export const SourceEntry = z.strictObject({
  cite: z.string().min(1),
  place: z.string().min(1).optional(),
  standing: z.enum(STANDINGS),
})
export const SourceEntries = z.record(z.string().min(1), SourceEntry)

/** What every document says of itself. The version goes up with every change, and is kept with what was judged by it. */
export const Heading = {
  version: z.int().positive(),
  title: z.string().min(1),
  standing: z.string().min(1),
}

/** Sources by key, in the order asked for. A key that the document does not have is caught when it is read. */
export function sourcesOf(
  entries: z.infer<typeof SourceEntries>,
  keys: readonly string[],
): readonly Source[] {
  return keys.flatMap((key) => {
    const entry = entries[key]
    if (!entry) return []
    const { place, ...rest } = entry
    return [{ key, ...rest, ...(place !== undefined && { place }) }]
  })
}

/** Adds an issue for every key that is used and not written down. */
export function refuseUnknownSources(
  entries: z.infer<typeof SourceEntries>,
  used: readonly string[],
  refuse: (message: string) => void,
): void {
  for (const key of new Set(used)) if (!(key in entries)) refuse(`source ${key} is not written down`)
}
