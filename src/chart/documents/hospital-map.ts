import { z } from 'zod'
import defaults from './data/hospital-map.json' with { type: 'json' }
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

const Seconds = z.int().min(0).max(3600)
const Level = z.int().min(-10).max(100)
const Measure = z.number().min(0).max(10_000)

/** A spot that ways lead to: where a unit begins, a landing, a bend. `x` and `y` place it on the floor's plan. */
const Place = z.strictObject({
  id: Id,
  name: Text,
  floor: Level,
  x: Measure,
  y: Measure,
  /** The unit that is entered here; null for a place that is only passed. */
  unit: Id.nullable(),
})

/** A shaft: its stops, at most one a floor. */
const Shaft = { id: Id, name: Text, stops: z.array(Id).min(2), secondsPerFloor: Seconds }

/** Where everything is, and how long the ways are. Every way is as long in one direction as in the other. */
const HospitalMap = z.strictObject({
  /** Floors with the size of their plans, in the measure of `x` and `y`. */
  floors: z.array(z.strictObject({ level: Level, name: Text, width: Measure, depth: Measure })).min(1),
  places: z.array(Place).min(1),
  /** Rooms of a unit that lie elsewhere than where it is entered. */
  rooms: z.array(z.strictObject({ unit: Id, rooms: z.array(Id).min(1), place: Id })),
  /** Ways on foot on one floor. */
  corridors: z.array(z.strictObject({ between: z.tuple([Id, Id]), seconds: Seconds })),
  lifts: z.array(z.strictObject({ ...Shaft, waitSeconds: Seconds })),
  stairs: z.array(z.strictObject(Shaft)),
  source: Id,
  sources: StatedSources,
})
export type HospitalMap = z.infer<typeof HospitalMap>

function check(map: HospitalMap): DocumentProblem[] {
  const ids = map.places.map(({ id }) => id)
  const shafts = [...map.lifts, ...map.stairs]
  const named = unknown(
    'ways',
    [
      ...map.corridors.flatMap(({ between }) => between),
      ...shafts.flatMap(({ stops }) => stops),
      ...map.rooms.map(({ place }) => place),
    ],
    new Set(ids),
    'one of the places',
  )
  return [
    ...repeated(
      'floors',
      map.floors.map(({ level }) => String(level)),
    ),
    ...repeated('places', ids),
    ...repeated(
      'places.unit',
      map.places.flatMap(({ unit }) => unit ?? []),
    ),
    ...repeated(
      'lifts and stairs',
      shafts.map(({ id }) => id),
    ),
    ...repeated(
      'rooms',
      map.rooms.flatMap(({ unit, rooms }) => rooms.map((room) => `${unit} ${room}`)),
    ),
    ...named,
    ...map.places.flatMap((place) => placeProblems(place, map)),
    ...(named.length > 0 ? [] : [...corridorProblems(map), ...shaftProblems(map), ...unreached(map)]),
    ...sourceProblems(map.sources, [{ where: 'source', key: map.source }]),
  ]
}

function placeProblems(
  { id, floor, x, y }: HospitalMap['places'][number],
  map: HospitalMap,
): DocumentProblem[] {
  const where = `places.${id}`
  const on = map.floors.find(({ level }) => level === floor)
  if (!on) return [{ where, what: `${id} is on floor ${floor}, which is not one of the floors` }]
  if (x <= on.width && y <= on.depth) return []
  return [{ where, what: `${id} lies outside the plan of ${on.name} (${on.width} by ${on.depth})` }]
}

function corridorProblems({ corridors, places }: HospitalMap): DocumentProblem[] {
  const floorOf = new Map(places.map(({ id, floor }) => [id, floor]))
  return [
    ...repeated(
      'corridors',
      corridors.map(({ between }) => [...between].sort().join(' and ')),
    ),
    ...corridors.flatMap(({ between: [a, b] }) => {
      if (a === b) return [{ where: 'corridors', what: `a way leads from ${a} to itself` }]
      if (floorOf.get(a) === floorOf.get(b)) return []
      return [{ where: 'corridors', what: `${a} and ${b} are on two floors; join them by stairs or a lift` }]
    }),
  ]
}

function shaftProblems({ lifts, stairs, places }: HospitalMap): DocumentProblem[] {
  const floorOf = new Map(places.map(({ id, floor }) => [id, floor]))
  return [...lifts, ...stairs].flatMap(({ id, name, stops }) => {
    const floors = stops.map((stop) => floorOf.get(stop))
    if (new Set(floors).size === floors.length) return []
    return [{ where: id, what: `${name} stops more than once on one floor` }]
  })
}

/** Places where patients may be, or therapists start, that no way leads to. */
function unreached(map: HospitalMap): DocumentProblem[] {
  const needed = [
    ...map.places.flatMap(({ id, unit }) => (unit === null ? [] : [{ id, name: unit }])),
    ...map.rooms.map(({ place, unit, rooms }) => ({ id: place, name: `${unit} ${rooms.join(', ')}` })),
  ]
  const [first] = needed
  if (!first) return [{ where: 'places', what: 'no unit is on the map' }]
  const reached = reachable(first.id, [
    ...map.corridors.map(({ between }) => between),
    ...[...map.lifts, ...map.stairs].map(({ stops }) => stops),
  ])
  return needed
    .filter(({ id }) => !reached.has(id))
    .map(({ name }) => ({ where: 'ways', what: `no way leads from ${first.name} to ${name}` }))
}

function reachable(from: string, ways: readonly (readonly string[])[]): ReadonlySet<string> {
  const reached = new Set([from])
  let before = 0
  while (reached.size > before) {
    before = reached.size
    for (const ends of ways)
      if (ends.some((end) => reached.has(end))) for (const end of ends) reached.add(end)
  }
  return reached
}

export const HOSPITAL_MAP = defineDocument({
  name: 'hospital-map',
  title: 'Hospital map',
  schema: HospitalMap,
  defaults,
  check,
})
