import { z } from 'zod'
import { CUP_KINDS } from '../../clinical/aerosol/cup-kinds.ts'
import defaults from './data/cups.json' with { type: 'json' }
import {
  type DocumentProblem,
  defineDocument,
  Id,
  repeated,
  StatedSources,
  sourceProblems,
  Text,
} from './document-kind.ts'

const Cup = z.strictObject({
  id: Id,
  name: Text,
  kind: z.enum(CUP_KINDS),
  /** The kind by which the forecast is to reckon this cup; null when nothing published covers it. */
  modelCupTypeId: z.enum(CUP_KINDS).nullable(),
  maximumFillMl: z.number().positive().max(500),
  /** Driving-gas flow that the cup is rated for; null for one that needs no gas. */
  ratedFlowLPerMin: z
    .strictObject({ low: z.number().positive().max(20), high: z.number().positive().max(20) })
    .nullable(),
  use: z.enum(['one treatment', 'one patient', 'many patients after reprocessing']),
  /** Null when the site's interval for the kind applies. */
  changeEveryHours: z.number().positive().nullable(),
  source: Id,
})

/** The nebulizer cups that the hospital keeps. */
const Cups = z.strictObject({ cups: z.array(Cup).min(1), sources: StatedSources })
export type Cups = z.infer<typeof Cups>

function check({ cups, sources }: Cups): DocumentProblem[] {
  return [
    ...repeated(
      'cups',
      cups.map((cup) => cup.id),
    ),
    ...sourceProblems(
      sources,
      cups.map((cup) => ({ where: `cups.${cup.id}`, key: cup.source })),
    ),
    ...cups.flatMap(flowProblems),
  ]
}

function flowProblems(cup: z.infer<typeof Cup>): DocumentProblem[] {
  const where = `cups.${cup.id}.ratedFlowLPerMin`
  const needsGas = cup.kind !== 'mesh' && cup.kind !== 'ultrasonic'
  if (needsGas && cup.ratedFlowLPerMin === null) return [{ where, what: `a ${cup.kind} cup runs on gas` }]
  if (cup.ratedFlowLPerMin && cup.ratedFlowLPerMin.low > cup.ratedFlowLPerMin.high)
    return [{ where, what: 'the low end lies above the high end' }]
  return []
}

export const CUPS = defineDocument({ name: 'cups', title: 'Nebulizer cups', schema: Cups, defaults, check })
