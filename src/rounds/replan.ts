import { type Compiled, compile } from './compile.ts'
import { type Day, promisesOf, standingFrom } from './day.ts'
import { at } from './engine/at.ts'
import { construct } from './engine/construct.ts'
import { breakNode, startNode } from './engine/flat.ts'
import { PlanState } from './engine/plan-state.ts'
import { type PricedPlan, pricedState, priceStops } from './evaluate.ts'
import { type EventOutcome, takeEvent } from './events.ts'
import { type Effort, improve } from './improve.ts'
import type { ShiftEvent } from './model.ts'
import { type PromiseChange, promiseChanges } from './promise.ts'
import type { Standing, Stop } from './standing.ts'

/** The plan after an event, changed as little as it takes. */
export type Repair = {
  /** The day with the repaired plan in force. */
  readonly day: Day
  readonly standing: Standing
  readonly priced: PricedPlan
  readonly changes: readonly PromiseChange[]
  /** Why the event changed nothing, if so. */
  readonly ignored: string | null
}

export type RepairOptions = {
  /** Visits that begin within so many minutes are not moved. */
  readonly freezeMinutes: number
  readonly seed: number
}

const CALM = { hot: 0.2, cold: 0.02 }
/** Rounds of search spent at once when the cheapest insertion makes something late or leaves something out. */
const URGENT_ROUNDS = 96
/** A search for an offer starts cooler than one from nothing: the plan shown is good already. */
const OFFER_HOT = 1

/**
 * Repairs the plan in force after an event: what has begun, is walked to, frozen or pinned stays; what is open keeps
 * its therapist and order as far as it can; what lost its place or is new goes to its cheapest place, broken promises
 * counted. Only if that makes visits late or leaves them out is the neighborhood searched, briefly.
 * @throws EventRefused
 */
export function repair(day: Day, event: ShiftEvent, options: RepairOptions): Repair {
  const outcome = takeEvent(day, event, options.freezeMinutes)
  const promised = { ...outcome.day.shift, previousPlan: promisesOf(day.schedule).filter(known(outcome)) }
  const standing = standingFrom(outcome.day, event.time, outcome.done)
  const compiled = compile(promised, standing)
  const state = keptState(compiled, outcome.open)
  construct(state)
  let priced = pricedState(compiled, state)
  if (suffering(priced) > suffering(priceStops(day.shift, stopsOf(day)))) {
    improve(state, { seed: options.seed, effort: { iterations: URGENT_ROUNDS }, ...CALM })
    priced = pricedState(compiled, state)
  }
  const next = { ...outcome.day, schedule: priced.schedule }
  return {
    day: next,
    standing,
    priced,
    changes: promiseChanges(day, next, event),
    ignored: outcome.ignored,
  }
}

/** Lateness and visits left out, in points: what patients feel. */
const suffering = ({ parts }: Pick<PricedPlan, 'parts'>): number => parts.late + parts.drop

const stopsOf = (day: Day) => day.schedule.map((item) => item.stops)

const known = (outcome: EventOutcome) => {
  const visits = new Set(outcome.day.shift.visits.map((visit) => visit.id))
  return (item: { readonly visit: string }) => visits.has(item.visit)
}

/** The open stops put back in their old order; a stop that no longer fits is left for insertion. */
function keptState(compiled: Compiled, open: readonly (readonly Stop[])[]): PlanState {
  const { flat, visits } = compiled
  const number = new Map(visits.map((visit, v) => [visit.id, v]))
  const state = new PlanState(flat)
  open.forEach((stops, k) => {
    let after = startNode(flat, k)
    for (const stop of stops) {
      if (stop.visit === null) {
        if (at(flat.hasBreak, k) === 1) after = breakNode(flat, k)
        continue
      }
      const v = number.get(stop.visit)
      if (v === undefined || at(flat.allowed, v * flat.routes + k) === 0) continue
      if (insertIfPossible(state, v, after)) after = v
    }
  })
  return state
}

function insertIfPossible(state: PlanState, v: number, after: number): boolean {
  state.insert(v, after)
  if (!state.broken) return true
  state.remove(v)
  state.settleRemovals()
  return false
}

/** A plan that is worth more than it disturbs. */
export type Offer = {
  readonly day: Day
  readonly priced: PricedPlan
  readonly changes: readonly PromiseChange[]
  /** Points gained after paying for every promise it breaks. */
  readonly gain: number
}

export type OfferOptions = { readonly seed: number; readonly effort: Effort; readonly leastGain: number }

/**
 * Searches on from a repaired plan, with what it shows as the promise. Gives a plan only if it gains at least
 * `leastGain` points beyond the price of the promises it breaks; otherwise null.
 */
export function betterOffer(repaired: Pick<Repair, 'day' | 'standing'>, options: OfferOptions): Offer | null {
  const { day, standing } = repaired
  const compiled = compile({ ...day.shift, previousPlan: promisesOf(day.schedule) }, standing)
  const open = day.schedule.map(({ stops }, k) => stops.slice(standing.therapists[k]?.done.length ?? 0))
  const state = keptState(compiled, open)
  const shown = state.cost()
  improve(state, { seed: options.seed, effort: options.effort, hot: OFFER_HOT })
  const gain = shown - state.cost()
  if (gain < options.leastGain || gain <= 0) return null
  const priced = pricedState(compiled, state)
  const next = { ...day, schedule: priced.schedule }
  return { day: next, priced, changes: promiseChanges(day, next, null), gain }
}
