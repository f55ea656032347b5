import { z } from 'zod'
import { shown } from '../lung-function/shown.ts'
import { once } from '../once.ts'
import { BadInput, requireWithin, type Source } from '../worked.ts'
import defaultJson from './data/measurement-noise.json' with { type: 'json' }
import { Heading, refuseUnknownSources, SourceEntries, sourcesOf } from './document.ts'
import { MEASURE_NAMES, MEASURES, type Measure, unitShown } from './measures.ts'

const Noise = z.strictObject({
  unit: z.string(),
  says: z.string().min(1),
  /** Two readings of one unchanged patient may differ by so much. */
  noise: z.number().min(0),
  /** The least change that matters to patients, where one was published. */
  important: z.number().positive().nullable(),
  /** Which way is better; null where neither is by itself. */
  better: z.enum(['up', 'down']).nullable(),
  sources: z.array(z.string()).min(1),
  note: z.string(),
})

/** How much each measurement wanders by itself. */
export const NoiseDocument = z
  .strictObject({
    kind: z.literal('measurement-noise'),
    ...Heading,
    measures: z.partialRecord(z.enum(MEASURE_NAMES as [Measure, ...Measure[]]), Noise),
    sources: SourceEntries,
  })
  .superRefine(({ measures, sources }, context) => {
    const refuse = (message: string) => context.addIssue({ code: 'custom', message })
    for (const [name, noise] of Object.entries(measures)) {
      const { unit } = MEASURES[name as Measure]
      if (noise.unit !== unit) refuse(`${name} is in ${unit}, not ${noise.unit}`)
      refuseUnknownSources(sources, noise.sources, refuse)
    }
  })
export type NoiseDocument = z.infer<typeof NoiseDocument>
export const defaultNoise = once(() => NoiseDocument.parse(defaultJson))

export type ChangeAgainstNoise = {
  readonly measure: Measure
  readonly change: number
  readonly unit: string
  readonly noise: number
  readonly beyondNoise: boolean
  /** Null where no least important change was published. */
  readonly important: boolean | null
  /** What it means for the patient, beyond noise; null where neither way is better by itself. */
  readonly verdict: 'better' | 'worse' | 'no change that can be told' | null
  readonly words: string
  readonly sources: readonly Source[]
}

/**
 * A change held against what the measurement wanders by itself: within the noise it is not called a change.
 * @throws BadInput for a measure whose noise the document does not have, or a value that cannot be one of it
 */
export function changeAgainstNoise(
  measure: Measure,
  before: number,
  after: number,
  document: NoiseDocument = defaultNoise(),
): ChangeAgainstNoise {
  const size = document.measures[measure]
  if (!size) throw new BadInput('measure', measure, Object.keys(document.measures).join(', '))
  const { low, high } = MEASURES[measure]
  for (const [field, value] of [['before', before] as const, ['after', after] as const]) {
    requireWithin(field, value, { low, high, unit: unitShown(size.unit) })
  }
  const change = Math.round((after - before) * 1e9) / 1e9
  const beyondNoise = Math.abs(change) > size.noise
  const unit = unitShown(size.unit)
  const sign = change > 0 ? '+' : ''
  const bound = beyondNoise ? 'beyond' : 'within'
  return {
    measure,
    change,
    unit: size.unit,
    noise: size.noise,
    beyondNoise,
    important: size.important === null ? null : Math.abs(change) >= size.important,
    verdict: verdict(change, beyondNoise, size.better),
    words:
      `${size.says} ${sign}${shown(change, 1)} ${unit}`.trim() +
      `, ${bound} its noise of ${size.noise} ${unit}`.trimEnd(),
    sources: sourcesOf(document.sources, size.sources),
  }
}

function verdict(
  change: number,
  beyondNoise: boolean,
  better: 'up' | 'down' | null,
): ChangeAgainstNoise['verdict'] {
  if (!beyondNoise) return 'no change that can be told'
  if (better === null) return null
  return change > 0 === (better === 'up') ? 'better' : 'worse'
}
