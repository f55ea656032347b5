import { compile } from '../compile.ts'
import { type Day, promisesOf } from '../day.ts'
import type { PricedPlan } from '../evaluate.ts'
import { type Effort, improve } from '../improve.ts'
import { type PromiseChange, promiseChanges } from '../promise.ts'
import { heldPlan } from './held.ts'
import { keptState } from './kept-state.ts'
import type { Repair } from './repair.ts'

/** A search for an offer starts cooler than one from nothing: the plan shown is good already. */
const OFFER_HOT = 1

/** A plan that is worth more than it disturbs. */
export type Offer = {
  readonly day: Day
  readonly priced: PricedPlan
  readonly changes: readonly PromiseChange[]
  /** Points gained after paying for every promise it breaks. */
  readonly gain: number
}

export type OfferOptions = {
  readonly seed: number
  readonly effort: Effort
  /** Points that each changed promise must earn; a plan that earns less than its changes is not offered. */
  readonly leastGainPerChange: number
  readonly stop?: () => boolean
}

/**
 * Searches on from a repaired plan, with what it shows as the promise. Gives a plan only if it gains more than it
 * disturbs: the price of every promise it breaks is in its cost, and beyond that it must earn `leastGainPerChange`
 * for each of its changes; otherwise null.
 */
export function betterOffer(repaired: Pick<Repair, 'day' | 'standing'>, options: OfferOptions): Offer | null {
  const { day, standing } = repaired
  const promises = promisesOf(day.schedule)
  const compiled = compile({ ...day.shift, previousPlan: promises }, standing)
  const open = day.schedule.map(({ stops }, k) => stops.slice(standing.therapists[k]?.done.length ?? 0))
  const state = keptState(compiled, open)
  const shown = state.cost()
  const { seed, effort, stop } = options
  improve(state, { seed, effort, hot: OFFER_HOT, ...(stop === undefined ? {} : { stop }) })
  const gain = shown - state.cost()
  if (gain <= 0) return null
  const priced = heldPlan(compiled, state, promises)
  const next = { ...day, schedule: priced.schedule }
  const changes = promiseChanges(day, next)
  return gain > options.leastGainPerChange * changes.length ? { day: next, priced, changes, gain } : null
}
