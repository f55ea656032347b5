import { at } from './at.ts'
import type { PlanState } from './plan-state.ts'

/** Every visit and break of a plan, each after its predecessor in the route and after the patient's dose before. */
export function topological(state: PlanState): number[] {
  const { p } = state
  const order: number[] = []
  const placed = new Uint8Array(p.nodes)
  const place = (node: number) => {
    if (placed[node] === 1 || at(state.prev, node) < 0) return
    placed[node] = 1
    place(at(state.prev, node))
    if (node < p.visits && at(state.dosePrev, node) >= 0) place(at(state.dosePrev, node))
    order.push(node)
  }
  for (const route of state.routes()) for (const node of route) place(node)
  return order
}
