import { at } from './at.ts'
import { Insertion } from './insertion.ts'
import type { PlanState } from './plan-state.ts'

/** Above this many visits the first plan is made visit by visit instead of by regret. */
const REGRET_UP_TO = 400

/**
 * Puts every visit that is out of the plan into it, the dearest to leave out first; among equals the one that would lose most if
 * its best therapist were taken (regret). Visits that fit nowhere, or cost more than leaving them out, stay out.
 */
export function construct(state: PlanState): void {
  const { p } = state
  const waiting: number[] = []
  for (let v = 0; v < p.visits; v++) if (at(state.route, v) < 0) waiting.push(v)
  waiting.sort((a, b) => at(p.drop, b) - at(p.drop, a) || at(p.last, a) - at(p.last, b) || a - b)
  const best = new BestPlace(state)
  while (waiting.length > 0) {
    const index = waiting.length <= REGRET_UP_TO ? mostRegretted(p.drop, waiting, best) : 0
    const [v] = waiting.splice(index, 1) as [number]
    best.find(v)
    if (best.route >= 0) best.put(v)
  }
}

/** Place in the list of the visit with the largest regret among those that are dearest to leave out. */
function mostRegretted(drop: Int32Array, waiting: readonly number[], best: BestPlace): number {
  const dearest = at(drop, waiting[0] as number)
  let index = 0
  let most = -1
  for (let i = 0; i < waiting.length && at(drop, waiting[i] as number) === dearest; i++) {
    best.find(waiting[i] as number)
    if (best.regret > most) {
      most = best.regret
      index = i
    }
  }
  return index
}

/** The cheapest route for a visit, all parts of the objective counted, and the loss if it were not to be had. */
class BestPlace {
  route = -1
  regret = 0
  private readonly state: PlanState
  private readonly insertion: Insertion

  constructor(state: PlanState) {
    this.state = state
    this.insertion = new Insertion(state)
  }

  find(v: number): void {
    const { state, insertion } = this
    const { p } = state
    const most = p.loadWeight > 0 ? state.maxLoad() : 0
    insertion.take(v)
    let first = at(p.drop, v)
    let second = first
    let emptyKind = -1
    this.route = -1
    for (let k = 0; k < p.routes; k++) {
      if (at(p.allowed, v * p.routes + k) === 0) continue
      if (at(state.size, k) === 0) {
        if (at(p.kind, k) === emptyKind) continue
        emptyKind = at(p.kind, k)
      }
      const cost = insertion.total(k, most, at(p.drop, v))
      if (cost >= second) continue
      if (cost < first) {
        second = first
        first = cost
        this.route = k
      } else second = cost
    }
    this.regret = second - first
  }

  put(v: number): void {
    const { state, insertion, route } = this
    state.insert(v, insertion.place(route))
    if (!state.broken) return
    state.remove(v)
    state.settleRemovals()
  }
}
