import type { Compiled } from '../compile.ts'
import { at } from '../engine/at.ts'
import { construct } from '../engine/construct.ts'
import { breakNode, endNode, startNode } from '../engine/flat.ts'
import { PlanState } from '../engine/plan-state.ts'
import type { Stop } from '../standing.ts'

/**
 * The plan in force as an engine state: open stops keep therapist and order; what no longer fits, and what is new, is
 * inserted at its cheapest place. Where that leaves a pinned visit out, pinned visits are placed before all others.
 */
export function keptState(compiled: Compiled, open: readonly (readonly Stop[])[]): PlanState {
  const state = new PlanState(compiled.flat)
  keepOrder(compiled, state, open)
  construct(state)
  if (pinnedLeftOut(compiled, state).length === 0) return state
  const firm = new PlanState(compiled.flat)
  for (const v of pinnedVisits(compiled)) insertCheapest(firm, v)
  keepOrder(compiled, firm, open)
  construct(firm)
  return firm
}

/** Pinned visits that the state leaves out, as numbers of the compiled visits. */
export function pinnedLeftOut(compiled: Compiled, state: PlanState): number[] {
  return pinnedVisits(compiled).filter((v) => at(state.route, v) < 0)
}

function pinnedVisits({ standing, visits }: Compiled): number[] {
  const pins = [...standing.pins].sort((a, b) => (a.start ?? 0) - (b.start ?? 0))
  return pins.flatMap((pin) => {
    const v = visits.findIndex((visit) => visit.id === pin.visit)
    return v < 0 ? [] : [v]
  })
}

function keepOrder(compiled: Compiled, state: PlanState, open: readonly (readonly Stop[])[]): void {
  const { flat, visits } = compiled
  const number = new Map(visits.map((visit, v) => [visit.id, v]))
  open.forEach((stops, k) => {
    let after = startNode(flat, k)
    for (const stop of stops) {
      if (stop.visit === null) {
        if (at(flat.hasBreak, k) === 1) after = breakNode(flat, k)
        continue
      }
      const v = number.get(stop.visit)
      if (v === undefined || at(flat.allowed, v * flat.routes + k) === 0) continue
      if (at(state.route, v) < 0) {
        after = pastEarlier(state, after, stop.start)
        if (insertIfPossible(state, v, after)) after = v
      } else if (at(state.route, v) === k) after = v
    }
  })
}

/** Moves on over visits already placed that begin before the given minute. */
function pastEarlier(state: PlanState, after: number, start: number): number {
  let a = after
  for (let b = at(state.next, a); b < state.p.visits && at(state.start, b) < start; b = at(state.next, b))
    a = b
  return a
}

function insertIfPossible(state: PlanState, v: number, after: number): boolean {
  state.insert(v, after)
  if (!state.broken) return true
  state.remove(v)
  state.settleRemovals()
  return false
}

/** A place for a visit: behind which node of which route, its start there and the cost of the whole plan. */
export type PlaceTried = {
  readonly route: number
  readonly after: number
  readonly start: number
  readonly cost: number
}

/** Every place that takes visit v, tried by putting it there; the state is left as it was. */
export function placesFor(state: PlanState, v: number): PlaceTried[] {
  const { p } = state
  const kept = state.buffer.slice()
  const found: PlaceTried[] = []
  for (let k = 0; k < p.routes; k++) {
    if (at(p.allowed, v * p.routes + k) === 0) continue
    for (let a = startNode(p, k); a !== endNode(p, k); a = at(state.next, a)) {
      state.insert(v, a)
      if (!state.broken) found.push({ route: k, after: a, start: at(state.start, v), cost: state.cost() })
      state.buffer.set(kept)
    }
  }
  return found
}

function insertCheapest(state: PlanState, v: number): void {
  const places = placesFor(state, v)
  const best = places.reduce((a, b) => (b.cost < a.cost ? b : a), places[0] as PlaceTried)
  if (places.length > 0) insertIfPossible(state, v, best.after)
}
