/** A building cut open: one line per floor, the highest on top, the units of a floor along it. */
export type MapUnit = {
  readonly id: string
  readonly name: string
  readonly short: string
  readonly floor: number
}
export type MapStop = {
  readonly id: string
  readonly unit: string
  /** "10:24" */
  readonly at: string
  readonly place: string
  readonly late: boolean
}

export type PlacedUnit = MapUnit & {
  readonly x: number
  readonly y: number
  /** Numbers of the stops that are made there, in the order of the round: "1, 4 and 9". */
  readonly stops: readonly number[]
}
export type Leg = { readonly key: string; readonly path: string; readonly order: number }

export type MapLayout = {
  readonly height: number
  readonly floors: readonly { readonly floor: number; readonly y: number }[]
  readonly units: readonly PlacedUnit[]
  readonly legs: readonly Leg[]
}

const TOP = 34
const FLOOR_HEIGHT = 92
const EDGE = { start: 74, end: 40 }

/** Where everything stands on a picture of that width [px]. Legs are in the order in which they are walked. */
export function mapLayout(
  units: readonly MapUnit[],
  stops: readonly MapStop[],
  from: string,
  width: number,
): MapLayout {
  const levels = [...new Set(units.map(({ floor }) => floor))].sort((a, b) => b - a)
  const yOf = new Map(levels.map((floor, index) => [floor, TOP + index * FLOOR_HEIGHT + FLOOR_HEIGHT / 2]))
  const placed = levels.flatMap((floor) => {
    const here = units.filter((unit) => unit.floor === floor)
    const room = (width - EDGE.start - EDGE.end) / here.length
    return here.map((unit, index) => ({
      ...unit,
      x: EDGE.start + room * (index + 0.5),
      y: yOf.get(floor) ?? 0,
      stops: stops.flatMap((stop, order) => (stop.unit === unit.id ? [order + 1] : [])),
    }))
  })
  const at = new Map(placed.map((unit) => [unit.id, unit]))
  const way = [from, ...stops.map(({ unit }) => unit)].filter((id, index, all) => id !== all[index - 1])
  const legs = way.slice(1).flatMap((id, order) => {
    const [a, b] = [at.get(way[order] ?? ''), at.get(id)]
    return a && b ? [{ key: `${order} ${a.id} ${b.id}`, path: bowed(a, b, order), order }] : []
  })
  return {
    height: TOP + levels.length * FLOOR_HEIGHT,
    floors: levels.map((floor) => ({ floor, y: yOf.get(floor) ?? 0 })),
    units: placed,
    legs,
  }
}

type Point = { readonly x: number; readonly y: number }

/** A bow from one unit to another, a little wider each time the same way is gone, so that the legs stay apart. */
function bowed(a: Point, b: Point, order: number): string {
  const [dx, dy] = [b.x - a.x, b.y - a.y]
  const length = Math.hypot(dx, dy) || 1
  const bow = Math.min(34, 12 + length * 0.06) + (order % 3) * 7
  const middle = { x: (a.x + b.x) / 2 - (dy / length) * bow, y: (a.y + b.y) / 2 + (dx / length) * bow }
  return `M${round(a.x)} ${round(a.y)}Q${round(middle.x)} ${round(middle.y)} ${round(b.x)} ${round(b.y)}`
}

const round = (value: number): number => Math.round(value * 10) / 10
