import { lowerBound } from '../../rounds/bound/bound.ts'
import { type Compiled, compile } from '../../rounds/compile.ts'
import { promisesOf } from '../../rounds/day.ts'
import type { PlanState } from '../../rounds/engine/plan-state.ts'
import { pricedState } from '../../rounds/evaluate.ts'
import { solveExactly } from '../../rounds/exact/exact.ts'
import { type Effort, PlanSearch } from '../../rounds/improve.ts'
import { promiseChanges } from '../../rounds/promise.ts'
import { heldPlan } from '../../rounds/replan/held.ts'
import { keptState } from '../../rounds/replan/kept-state.ts'
import type { Repair } from '../../rounds/replan/repair.ts'
import type { Standing } from '../../rounds/standing.ts'
import { planNow } from '../../shift/index.ts'
import type { Made } from './made-plan.ts'
import type { PlanningBase } from './planning-base.ts'

const SEED = 1
/** A search for an offer starts cooler than one from nothing: the plan shown is good already. */
const OFFER_HOT = 1
/** How long a bound is looked for at most [ms]. */
const BOUND_MS = 700

/** What can be shown at once: the plan in force repaired with the least change, or a constructed one. */
export function firstPlan(base: PlanningBase): Made {
  const made = madeFrom(planNow(base.problem, SEED))
  return base.before === null ? { ...made, changes: [] } : made
}

/** A repaired plan as the planner keeps it; nothing is proved of it yet. */
export function madeFrom({ day, standing, priced, changes }: Repair): Made {
  return {
    day,
    standing,
    dropped: priced.dropped,
    total: priced.total,
    cost: null,
    bound: null,
    overloads: [],
    changes,
  }
}

/** The problem that is still open, with the plan shown in it as far as it holds. */
function opened(
  base: PlanningBase,
  made: Made | null,
): { readonly compiled: Compiled; readonly state: PlanState; readonly standing: Standing } {
  const standing = made?.standing ?? base.standing
  const day = made?.day ?? base.day
  const previousPlan = base.before === null ? null : promisesOf(day.schedule)
  const compiled = compile({ ...day.shift, previousPlan }, standing)
  const open = day.schedule.map(({ stops }, k) => stops.slice(standing.therapists[k]?.done.length ?? 0))
  return { compiled, state: keptState(compiled, open), standing }
}

function madeOf(
  base: PlanningBase,
  compiled: Compiled,
  state: PlanState,
  standing: Standing,
  from?: Made,
): Made {
  const shown = from?.day ?? base.day
  const priced =
    base.before === null
      ? pricedState(compiled, state)
      : heldPlan(compiled, state, compiled.shift.previousPlan ?? [])
  const day = { ...shown, schedule: priced.schedule }
  return {
    day,
    standing,
    dropped: priced.dropped,
    total: priced.total,
    cost: state.cost(),
    bound: null,
    overloads: [],
    changes: base.before === null ? [] : promiseChanges(shown, day),
  }
}

/** A search that goes on from a plan, a few milliseconds at a time. */
export class Search {
  readonly #base: PlanningBase
  readonly #from: Made
  readonly #compiled: Compiled
  readonly #state: PlanState
  readonly #search: PlanSearch
  readonly #start: number

  constructor(base: PlanningBase, from: Made, effort: Effort) {
    const { compiled, state } = opened(base, from)
    this.#base = base
    this.#from = from
    this.#compiled = compiled
    this.#state = state
    this.#start = state.cost()
    this.#search = new PlanSearch(state, { seed: SEED, effort, ...(base.before && { hot: OFFER_HOT }) })
  }

  get share(): number {
    return this.#search.share
  }

  get isBetter(): boolean {
    return this.#search.cost < this.#start
  }

  /** Points saved so far beyond every promise that is broken for it. */
  get gain(): number {
    return this.#start - this.#search.cost
  }

  step(): boolean {
    return this.#search.step()
  }

  /** The best plan so far. */
  best(): Made {
    return madeOf(this.#base, this.#compiled, this.#state, this.#from.standing, this.#from)
  }

  /** The best plan with what is proved about it: how far it is at most from the best possible, and what is too much. */
  proved(ticks: () => number): Made {
    const best = this.best()
    const exact = solveExactly(this.#compiled.flat)
    if (exact?.proved && exact.lowerBound === best.cost) return { ...best, bound: best.cost }
    const until = ticks() + BOUND_MS
    const { visits } = this.#compiled.flat
    const { value, overloads } = lowerBound(this.#compiled.flat, {
      known: this.#state.routes().map((route) => route.filter((node) => node < visits)),
      stop: () => ticks() > until,
    })
    return { ...best, bound: Math.max(value, exact?.lowerBound ?? 0), overloads }
  }

  /** What is paid for the plan that the search began with. */
  get startCost(): number {
    return this.#start
  }
}
