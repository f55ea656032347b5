import { type Compiled, compile } from '../compile.ts'
import { beginDay } from '../day.ts'
import { loadPlan, PlanImpossible, type PricedPlan, pricedState } from '../evaluate.ts'
import { constructed, type Effort, improve } from '../improve.ts'
import type { Shift } from '../model.ts'
import { type ChanceOptions, expectedLateness } from './chance.ts'

/** A plan, what it costs as planned, and what lateness costs on average when times scatter. */
export type RobustPlan = {
  readonly priced: PricedPlan
  /** Minutes that every on-time limit was drawn in while it was searched. */
  readonly reserveMinutes: number
  readonly expectedLatePoints: number
}

export type RobustOptions = {
  readonly seed: number
  /** For each candidate. */
  readonly effort: () => Effort
  readonly chance: ChanceOptions
  /** Policy: points of planned cost that one point of expected lateness is worth; 0 plans by the planned times alone. */
  readonly weight: number
  readonly reserves?: readonly number[]
}

const RESERVES = [0, 5, 10, 20]

/**
 * Trades a little walking for robustness: plans are searched with all on-time limits drawn in by a reserve, priced by
 * the limits as they are, and the one with the least planned cost plus `weight` × the lateness to be expected is
 * taken. `planned` is the plan without reserve, for comparison.
 */
export function robustPlan(
  shift: Shift,
  options: RobustOptions,
): { readonly chosen: RobustPlan; readonly planned: RobustPlan } {
  const compiled = compile(shift)
  const reserves = options.weight > 0 ? (options.reserves ?? RESERVES) : [0]
  const candidates = [...new Set([0, ...reserves])].flatMap((reserve) =>
    candidate(compiled, reserve, options),
  )
  const planned = candidates[0] as RobustPlan
  const worth = ({ priced, expectedLatePoints }: RobustPlan) =>
    priced.total + options.weight * expectedLatePoints
  return { planned, chosen: candidates.reduce((a, b) => (worth(b) < worth(a) ? b : a), planned) }
}

function candidate(compiled: Compiled, reserve: number, options: RobustOptions): RobustPlan[] {
  const { shift } = compiled
  const state = constructed(reserve === 0 ? compiled.flat : compile(drawnIn(shift, reserve)).flat)
  improve(state, { seed: options.seed, effort: options.effort() })
  const searched = pricedState(compiled, state)
  try {
    const priced = pricedState(compiled, loadPlan(compiled, searched.plan))
    const day = beginDay(shift, priced.schedule)
    const none = shift.therapists.map(() => 0)
    return [
      {
        priced,
        reserveMinutes: reserve,
        expectedLatePoints: expectedLateness(day, compiled.standing.now, none, options.chance),
      },
    ]
  } catch (error) {
    if (error instanceof PlanImpossible) return []
    throw error
  }
}

function drawnIn(shift: Shift, reserve: number): Shift {
  return {
    ...shift,
    visits: shift.visits.map((visit) => ({
      ...visit,
      onTimeUntil: Math.max(visit.earliest, visit.onTimeUntil - reserve),
    })),
  }
}
