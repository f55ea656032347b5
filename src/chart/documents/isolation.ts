import { z } from 'zod'
import defaults from './data/isolation.json' with { type: 'json' }
import {
  type DocumentProblem,
  defineDocument,
  Id,
  repeated,
  StatedSources,
  sourceProblems,
  Text,
  unknown,
} from './document-kind.ts'

const Category = z.strictObject({
  code: Id,
  name: Text,
  before: z.array(Text),
  /** What is put on for every visit, from the list of the sequence. */
  wear: z.array(Id),
  /** What is put on besides when the treatment counts as aerosol-generating here. */
  wearWhenAerosolGenerating: z.array(Id),
  after: z.array(Text),
  room: Text.nullable(),
  /** Place in the round among doses due together: lower is visited first. */
  roundRank: z.int().min(0).max(9),
  source: Id,
})

/** Isolation categories: what is worn, in which order it goes on and comes off, and when they are visited. */
const Isolation = z.strictObject({
  sequence: z.strictObject({ putOn: z.array(Id).min(1), takeOff: z.array(Id).min(1), source: Id }),
  /** Of two that protect the same part, the first named is worn when both are asked for. */
  insteadOf: z.array(z.strictObject({ wear: Id, insteadOf: Id })),
  /** The category that holds for everybody. */
  always: Id,
  categories: z.array(Category).min(1),
  sources: StatedSources,
})
export type Isolation = z.infer<typeof Isolation>

function check({ sequence, insteadOf, always, categories, sources }: Isolation): DocumentProblem[] {
  const codes = categories.map((category) => category.code)
  const putOn = new Set(sequence.putOn)
  const takeOff = new Set(sequence.takeOff)
  const worn = categories.flatMap(({ wear, wearWhenAerosolGenerating }) => [
    ...wear,
    ...wearWhenAerosolGenerating,
  ])
  return [
    ...repeated('categories', codes),
    ...repeated('sequence.putOn', sequence.putOn),
    ...repeated('sequence.takeOff', sequence.takeOff),
    ...unknown('always', [always], new Set(codes), 'one of the categories'),
    ...unknown('sequence.takeOff', sequence.putOn, takeOff, 'in the order of taking off'),
    ...unknown('sequence.putOn', sequence.takeOff, putOn, 'in the order of putting on'),
    ...unknown('categories', worn, putOn, 'in the order of putting on'),
    ...unknown(
      'insteadOf',
      insteadOf.flatMap((pair) => [pair.wear, pair.insteadOf]),
      putOn,
      'in the order of putting on',
    ),
    ...sourceProblems(sources, [
      { where: 'sequence', key: sequence.source },
      ...categories.map(({ code, source }) => ({ where: `categories.${code}`, key: source })),
    ]),
  ]
}

export const ISOLATION = defineDocument({
  name: 'isolation',
  title: 'Isolation precautions',
  schema: Isolation,
  defaults,
  check,
})

/** What the precautions of one patient ask for, and the codes that the document does not know. */
export type Precautions = {
  readonly names: readonly string[]
  readonly before: readonly string[]
  readonly putOn: readonly string[]
  readonly takeOff: readonly string[]
  readonly after: readonly string[]
  readonly rooms: readonly string[]
  /** Of several categories the latest in the round: an infection outranks the need for protection. */
  readonly roundRank: number
  readonly unknown: readonly string[]
}

/**
 * The precautions for a patient under the given category codes, those that hold for everybody included, each thing
 * once and in the document's order.
 * @param aerosolGenerating the codes under which the treatment counts as aerosol-generating here
 */
export function precautionsFor(
  codes: readonly string[],
  content: Isolation,
  aerosolGenerating: ReadonlySet<string>,
): Precautions {
  const known = new Set(content.categories.map((category) => category.code))
  const holding = content.categories.filter(({ code }) => code === content.always || codes.includes(code))
  const worn = wornFor(holding, content, aerosolGenerating)
  const once = (texts: readonly string[]) => [...new Set(texts)]
  return {
    names: holding.map((category) => category.name),
    before: once(holding.flatMap((category) => category.before)),
    putOn: content.sequence.putOn.filter((item) => worn.has(item)),
    takeOff: content.sequence.takeOff.filter((item) => worn.has(item)),
    after: once(holding.flatMap((category) => category.after)),
    rooms: once(holding.flatMap((category) => category.room ?? [])),
    roundRank: roundRank(holding, content.always),
    unknown: codes.filter((code) => !known.has(code)),
  }
}

function wornFor(
  holding: readonly z.infer<typeof Category>[],
  content: Isolation,
  aerosolGenerating: ReadonlySet<string>,
): Set<string> {
  const worn = new Set(
    holding.flatMap(({ code, wear, wearWhenAerosolGenerating }) => [
      ...wear,
      ...(aerosolGenerating.has(code) ? wearWhenAerosolGenerating : []),
    ]),
  )
  for (const pair of content.insteadOf) if (worn.has(pair.wear)) worn.delete(pair.insteadOf)
  return worn
}

/** The category that holds for everybody ranks a patient only when there is no other. */
function roundRank(holding: readonly z.infer<typeof Category>[], always: string): number {
  const own = holding.filter(({ code }) => code !== always)
  return Math.max(...(own.length > 0 ? own : holding).map((category) => category.roundRank))
}
