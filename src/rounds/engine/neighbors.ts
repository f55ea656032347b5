import { at } from './at.ts'
import type { FlatProblem } from './flat.ts'

/** Per visit, the other visits from nearest to farthest, at most `width` of them: row v holds visits in order. */
export type Neighbors = { readonly width: number; readonly order: Int32Array }

/** Waiting counts this much beside walking when two visits are called near; unavoidable lateness counts in full. */
const WAITING_SHARE = 0.2
/** Distances are sorted as one number with the visit behind: distance × PACK + visit. */
const PACK = 65_536

/** Walking plus unavoidable waiting and lateness when y directly follows x. */
function follow(p: FlatProblem, x: number, y: number): number {
  const way = at(p.walk, x * p.nodes + y)
  const reach = at(p.duration, x) + way
  const wait = at(p.early, y) - reach - at(p.last, x)
  const late = at(p.early, x) + reach - at(p.last, y)
  return way + (wait > 0 ? WAITING_SHARE * wait : 0) + Math.max(0, late)
}

/** Sorts, for every visit, the others by nearness: the better of the two orders counts. */
export function neighborsOf(p: FlatProblem, widest: number): Neighbors {
  const width = Math.min(widest, Math.max(0, p.visits - 1))
  const order = new Int32Array(p.visits * width)
  const packed = new Float64Array(Math.max(0, p.visits - 1))
  for (let v = 0; v < p.visits; v++) {
    let count = 0
    for (let u = 0; u < p.visits; u++)
      if (u !== v) packed[count++] = Math.round(8 * Math.min(follow(p, v, u), follow(p, u, v))) * PACK + u
    packed.sort()
    for (let i = 0; i < width; i++) order[v * width + i] = (packed[i] as number) % PACK
  }
  return { width, order }
}
