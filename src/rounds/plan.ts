import { lowerBound } from './bound/bound.ts'
import type { Overload } from './bound/interval.ts'
import { type Finding, readShift } from './check.ts'
import { compile } from './compile.ts'
import type { PlanState } from './engine/plan-state.ts'
import { type PricedPlan, pricedState } from './evaluate.ts'
import { solveExactly } from './exact/exact.ts'
import { constructed, type Effort, improve } from './improve.ts'
import type { Shift } from './model.ts'

export type PlanShiftOptions = {
  readonly seed: number
  readonly effort: Effort
  readonly stop?: () => boolean
  readonly progress?: (share: number, cost: number) => void
  /** Asked while the bound is computed; without it only the immediate bounds are computed. */
  readonly stopBound?: () => boolean
}

/** A plan for a whole shift and how far from the best possible it can be at most. */
export type PlannedShift = {
  readonly shift: Shift
  readonly findings: readonly Finding[]
  readonly priced: PricedPlan
  /** No plan costs less. */
  readonly bound: number
  /** True when no plan is cheaper. */
  readonly proved: boolean
  /** (plan − bound) / plan: the plan is at most this far from the best possible. */
  readonly gapAtMost: number
  readonly overloads: readonly Overload[]
}

/**
 * Reads, checks and plans a shift: completely where it is small, otherwise by construction and search; with a bound.
 * @throws ShiftRefused
 */
export function planShift(json: unknown, options: PlanShiftOptions): PlannedShift {
  const { shift, findings } = readShift(json)
  const compiled = compile(shift)
  const exact = solveExactly(compiled.flat)
  const state = exact?.state ?? searched(constructed(compiled.flat), options)
  const cost = state.cost()
  const bounded = lowerBound(compiled.flat, {
    known: state.routes().map((route) => route.filter((node) => node < compiled.flat.visits)),
    stop: exact?.proved ? () => true : (options.stopBound ?? (() => true)),
  })
  const bound = exact?.proved ? cost : Math.max(bounded.value, exact?.lowerBound ?? 0)
  return {
    shift,
    findings,
    priced: pricedState(compiled, state),
    bound,
    proved: bound === cost,
    gapAtMost: cost === 0 ? 0 : (cost - bound) / cost,
    overloads: bounded.overloads,
  }
}

function searched(state: PlanState, options: PlanShiftOptions): PlanState {
  improve(state, options)
  return state
}
