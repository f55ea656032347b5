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

/** Units, the floors they are on, what a therapist must be signed off for there, and the minutes between them. */
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
  /** Ways on foot, the same in both directions. Units without a direct way are reached through others. */
  ways: z.array(z.strictObject({ between: z.tuple([Id, Id]), minutes: z.int().min(0).max(60) })),
  source: Id,
  sources: StatedSources,
})
type Units = z.infer<typeof Units>

function check({ units, base, ways, source, sources }: Units): DocumentProblem[] {
  const ids = units.map((unit) => unit.id)
  const known = new Set(ids)
  const pairs = ways.map(({ between }) => [...between].sort().join(' and '))
  const loops = ways.filter(({ between: [a, b] }) => a === b)
  const reached = reachable(base, ways)
  return [
    ...repeated('units', ids),
    ...repeated('ways', pairs),
    ...unknown('base', [base], known, 'one of the units'),
    ...unknown(
      'ways',
      ways.flatMap(({ between }) => between),
      known,
      'one of the units',
    ),
    ...loops.map(({ between: [a] }) => ({ where: 'ways', what: `a way leads from ${a} to itself` })),
    ...ids
      .filter((id) => known.has(base) && !reached.has(id))
      .map((id) => ({ where: 'ways', what: `no way leads from ${base} to ${id}` })),
    ...sourceProblems(sources, [{ where: 'source', key: source }]),
  ]
}

function reachable(base: string, ways: Units['ways']): ReadonlySet<string> {
  const reached = new Set([base])
  let grown = true
  while (grown) {
    const before = reached.size
    for (const { between } of ways) {
      if (between.some((end) => reached.has(end))) for (const end of between) reached.add(end)
    }
    grown = reached.size > before
  }
  return reached
}

export const UNITS = defineDocument({
  name: 'units',
  title: 'Units and ways',
  schema: Units,
  defaults,
  check,
})
