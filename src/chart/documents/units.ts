import { z } from 'zod'
import defaults from './data/units.json' with { type: 'json' }
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

/** Units, the floors they are on, and what a therapist must be signed off for there. The ways between them are on the map. */
const Units = z.strictObject({
  units: z
    .array(
      z.strictObject({
        id: Id,
        name: Text,
        floor: z.int().min(-10).max(100),
        skillsNeeded: z.array(Id),
        /** Walking from one room of the unit to the next. */
        minutesBetweenRooms: z.int().min(0).max(30),
      }),
    )
    .min(1),
  /** Where therapists start, end and keep what they carry: a unit's id. */
  base: Id,
  source: Id,
  sources: StatedSources,
})
export type Units = z.infer<typeof Units>

function check({ units, base, source, sources }: Units): DocumentProblem[] {
  const ids = units.map((unit) => unit.id)
  return [
    ...repeated('units', ids),
    ...unknown('base', [base], new Set(ids), 'one of the units'),
    ...sourceProblems(sources, [{ where: 'source', key: source }]),
  ]
}

export const UNITS = defineDocument({
  name: 'units',
  title: 'Units',
  schema: Units,
  defaults,
  check,
})
