import { z } from 'zod'
import type { Source } from '../../worked.ts'
import data from '../data/continuous.json' with { type: 'json' }
import { SOURCES, type SourceKey } from '../sources.ts'
import type { CupOutput } from './mix.ts'

const Positive = z.number().positive()
const Key = z.string().refine((key): key is SourceKey => key in SOURCES, 'a key of the register of sources')

/** Published figures of continuous nebulizing: what cups put out, what leaves them, what reaches the mouth. */
const Published = z.strictObject({
  cupOutputs: z.array(
    z.strictObject({
      kind: z.string(),
      likelyMlPerH: Positive,
      lowMlPerH: Positive,
      highMlPerH: Positive,
      overHours: Positive,
      source: Key,
    }),
  ),
  drugOutputs: z.array(
    z.strictObject({ setUp: z.string(), mgPerH: Positive, sdMgPerH: Positive, source: Key }),
  ),
  inhaled: z.array(z.strictObject({ setUp: z.string(), mgPerH: z.tuple([Positive, Positive]), source: Key })),
})

const published = Published.parse(data)

/** Cups whose hourly output was measured, each with its range and source. A hospital's own figure goes first. */
export const PUBLISHED_CUP_OUTPUTS: readonly (CupOutput & {
  readonly kind: string
  readonly source: Source
})[] = published.cupOutputs.map(({ overHours: _, source, ...output }) => ({
  ...output,
  source: SOURCES[source],
}))

/** Drug that left a cup or reached the mouth in published runs [mg/h], in words, for the caution beside a rate. */
export const PUBLISHED_RUNS: readonly { readonly text: string; readonly source: Source }[] = [
  ...published.drugOutputs.map(({ setUp, mgPerH, sdMgPerH, source }) => ({
    text: `${setUp}: ${mgPerH} ± ${sdMgPerH} mg/h left the cup in droplets`,
    source: SOURCES[source],
  })),
  ...published.inhaled.map(({ setUp, mgPerH: [low, high], source }) => ({
    text: `${setUp}: ${low} to ${high} mg/h were inhaled`,
    source: SOURCES[source],
  })),
]
