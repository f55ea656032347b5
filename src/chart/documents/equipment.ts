import { z } from 'zod'
import defaults from './data/equipment.json' with { type: 'json' }
import {
  type DocumentProblem,
  defineDocument,
  Id,
  repeated,
  StatedSources,
  sourceProblems,
  Text,
} from './document-kind.ts'

/** What a therapist takes along, and the cylinders that are about. */
const Equipment = z.strictObject({
  items: z
    .array(
      z.strictObject({
        id: Id,
        name: Text,
        category: z.enum(['gas', 'interface', 'filter', 'measuring', 'supply']),
        /** `always`: on every round. The others only when a visit of the round asks for it. */
        carry: z.enum(['always', 'when a visit asks for it', 'stays on the unit']),
        use: z.enum(['one treatment', 'one patient', 'many patients after reprocessing']),
      }),
    )
    .min(1),
  cylinders: z.array(
    z.strictObject({
      id: Id,
      gas: z.enum(['air', 'oxygen', 'heliox']),
      litersPerPsi: z.number().positive().max(10),
      fullPsi: z.number().positive().max(4000),
      /** Pressure at which the cylinder is changed and that is never counted on. */
      reservePsi: z.number().min(0).max(1000),
      source: Id,
    }),
  ),
  sources: StatedSources,
})
type Equipment = z.infer<typeof Equipment>

function check({ items, cylinders, sources }: Equipment): DocumentProblem[] {
  return [
    ...repeated(
      'items',
      items.map((item) => item.id),
    ),
    ...repeated(
      'cylinders',
      cylinders.map((cylinder) => cylinder.id),
    ),
    ...cylinders
      .filter((cylinder) => cylinder.reservePsi >= cylinder.fullPsi)
      .map(({ id }) => ({
        where: `cylinders.${id}.reservePsi`,
        what: 'the reserve is as large as the whole',
      })),
    ...sourceProblems(
      sources,
      cylinders.map(({ id, source }) => ({ where: `cylinders.${id}`, key: source })),
    ),
  ]
}

export const EQUIPMENT = defineDocument({
  name: 'equipment',
  title: 'Equipment',
  schema: Equipment,
  defaults,
  check,
})
