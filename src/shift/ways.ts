import Graph from 'graphology'
import { singleSource } from 'graphology-shortest-path/dijkstra'
import type { HospitalMap } from '../chart/documents/hospital-map.ts'

type Place = HospitalMap['places'][number]
type Leg = { readonly seconds: number; readonly how: WayLeg['how']; readonly name: string }

/** One piece of a way: on foot, by a lift (its wait included) or by stairs. */
export type WayLeg = {
  readonly how: 'corridor' | 'lift' | 'stairs'
  /** The lift's or the stairs' name; of a corridor, where it leads to. */
  readonly name: string
  readonly from: string
  readonly to: string
  readonly seconds: number
}

/** The shortest way between two places of the map. */
export type Way = {
  readonly seconds: number
  /** Whole minutes, rounded up, so that walking times keep the triangle inequality. */
  readonly minutes: number
  /** Ids of the places passed, both ends included. */
  readonly places: readonly string[]
  readonly legs: readonly WayLeg[]
}

/** The hospital's ways, from its map: between which places, how long, along what. */
export class Ways {
  readonly map: HospitalMap
  readonly #graph: Graph<{ readonly name: string }, Leg>
  readonly #from = new Map<string, Readonly<Record<string, readonly string[]>>>()
  readonly #places: ReadonlyMap<string, Place>

  constructor(map: HospitalMap) {
    this.map = map
    this.#graph = graphOf(map)
    this.#places = new Map(map.places.map((place) => [place.id, place]))
  }

  place(id: string): Place | null {
    return this.#places.get(id) ?? null
  }

  /** Where a bed is entered: the place of its room where the map has one, else of its unit; null when neither is known. */
  placeOf(unit: string, room: string): string | null {
    const apart = this.map.rooms.find((rooms) => rooms.unit === unit && rooms.rooms.includes(room))
    return apart?.place ?? this.map.places.find((place) => place.unit === unit)?.id ?? null
  }

  /** The shortest way; null when none leads there or a place is not on the map. */
  between(from: string, to: string): Way | null {
    if (!this.#graph.hasNode(from) || !this.#graph.hasNode(to)) return null
    const places = from === to ? [from] : this.#waysFrom(from)[to]
    if (!places) return null
    const legs = places.slice(1).map((place, at) => this.#leg(places[at] ?? from, place))
    const seconds = legs.reduce((sum, leg) => sum + leg.seconds, 0)
    return { seconds, minutes: Math.ceil(seconds / 60), places, legs }
  }

  /**
   * Whole minutes between every two of these places, rounded up. They obey the triangle inequality: shortest ways do,
   * and rounding up keeps it.
   * @throws RangeError when no way leads from one to another, which the map's own check rules out for units and rooms
   */
  minutesBetween(places: readonly string[]): number[][] {
    return places.map((from) =>
      places.map((to) => {
        const way = this.between(from, to)
        if (way === null) throw new RangeError(`no way leads from ${from} to ${to}`)
        return way.minutes
      }),
    )
  }

  #waysFrom(from: string): Readonly<Record<string, readonly string[]>> {
    const known = this.#from.get(from)
    if (known) return known
    const ways = singleSource(this.#graph, from, 'seconds')
    this.#from.set(from, ways)
    return ways
  }

  #leg(from: string, to: string): WayLeg {
    const edge = this.#graph.edge(from, to)
    if (edge === undefined) throw new RangeError(`${from} and ${to} are not joined`)
    const { seconds, how, name } = this.#graph.getEdgeAttributes(edge)
    return { how, name: how === 'corridor' ? (this.place(to)?.name ?? to) : name, from, to, seconds }
  }
}

function graphOf(map: HospitalMap): Graph<{ readonly name: string }, Leg> {
  const graph = new Graph<{ readonly name: string }, Leg>({ type: 'undirected' })
  for (const { id, name } of map.places) graph.addNode(id, { name })
  for (const {
    between: [a, b],
    seconds,
  } of map.corridors)
    join(graph, a, b, { seconds, how: 'corridor', name: '' })
  for (const { stops, name, waitSeconds, secondsPerFloor } of map.lifts)
    joinStops(graph, map, stops, (floors) => ({
      seconds: waitSeconds + floors * secondsPerFloor,
      how: 'lift',
      name,
    }))
  for (const { stops, name, secondsPerFloor } of map.stairs)
    joinStops(graph, map, stops, (floors) => ({ seconds: floors * secondsPerFloor, how: 'stairs', name }))
  return graph
}

function joinStops(
  graph: Graph<{ readonly name: string }, Leg>,
  map: HospitalMap,
  stops: readonly string[],
  leg: (floors: number) => Leg,
): void {
  const floor = (id: string) => map.places.find((place) => place.id === id)?.floor ?? 0
  for (const [at, a] of stops.entries())
    for (const b of stops.slice(at + 1)) join(graph, a, b, leg(Math.abs(floor(a) - floor(b))))
}

/** Of two ways between the same places only the shorter is ever taken. */
function join(graph: Graph<{ readonly name: string }, Leg>, a: string, b: string, leg: Leg): void {
  const there = graph.edge(a, b)
  if (there !== undefined && graph.getEdgeAttributes(there).seconds <= leg.seconds) return
  if (there !== undefined) graph.dropEdge(there)
  graph.addEdge(a, b, leg)
}
