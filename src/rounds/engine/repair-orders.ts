import { at } from './at.ts'
import { type FlatProblem, startNode } from './flat.ts'

/** An order in which visits are put back: lower keys first; chosen with a chance proportional to its weight. */
export type RepairOrder = { readonly weight: number; readonly key: Int32Array | null }

/**
 * The orders of re-insertion: at random; the dearest to leave out first; the longest, the largest demand, the farthest
 * and the nearest first; the narrowest window, the earliest and the last first.
 */
export function repairOrders(p: FlatProblem): RepairOrder[] {
  const key = (value: (v: number) => number) => Int32Array.from({ length: p.visits }, (_, v) => value(v))
  const home = p.routes > 0 ? startNode(p, 0) : 0
  const far = (v: number) => at(p.walk, v * p.nodes + home)
  const orders: RepairOrder[] = [
    { weight: 4, key: null },
    { weight: 4, key: key((v) => -at(p.drop, v)) },
    { weight: 4, key: key((v) => -at(p.demand, v)) },
    { weight: 2, key: key((v) => -at(p.duration, v)) },
    { weight: 2, key: key((v) => -far(v)) },
    { weight: 1, key: key(far) },
    { weight: 2, key: key((v) => at(p.last, v) - at(p.early, v)) },
    { weight: 2, key: key((v) => at(p.early, v)) },
    { weight: 2, key: key((v) => -at(p.last, v)) },
  ]
  return orders.filter((order) => order.key === null || order.key.some((value) => value !== order.key?.[0]))
}
