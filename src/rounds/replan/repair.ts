import { compile } from '../compile.ts'
import { type Day, promisesOf, standingFrom } from '../day.ts'
import type { PlanState } from '../engine/plan-state.ts'
import { type PricedPlan, priceStops } from '../evaluate.ts'
import { type EventOutcome, takeEvent } from '../events.ts'
import { improve } from '../improve.ts'
import type { ShiftEvent } from '../model.ts'
import { type PromiseChange, promiseChanges } from '../promise.ts'
import type { Pin, Standing, Stop } from '../standing.ts'
import { heldPlan } from './held.ts'
import { keptState, pinnedLeftOut } from './kept-state.ts'
import { settle } from './settle.ts'

/** The plan after something happened, changed as little as it takes. */
export type Repair = {
  /** The day with the repaired plan in force. */
  readonly day: Day
  readonly standing: Standing
  readonly priced: PricedPlan
  readonly changes: readonly PromiseChange[]
  /** Pins that could not be kept: taken off, or (with `therapist` kept) freed from their minute. */
  readonly releasedPins: readonly Pin[]
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

/**
 * Repairs the plan in force after an event of the published format, as if the plan had been followed until then.
 * @throws EventRefused
 */
export function repair(day: Day, event: ShiftEvent, options: RepairOptions): Repair {
  const outcome = takeEvent(day, event)
  return { ...repairTo(day, outcome, event.time, options), ignored: outcome.ignored }
}

/** What is known at a minute of the day, in place of an event. `schedule` is the plan in force. */
export type FactsNow = {
  readonly day: Day
  /** Per therapist of `day.shift`: what she has finished or is doing, at its real times. */
  readonly begun: readonly (readonly Stop[])[]
}

/**
 * Repairs a plan to what is known now: visits, people, absences and pins of `facts.day`, and what has really been
 * begun. What is walked to, frozen or pinned stays; what is open keeps its therapist, order and promised start as far
 * as it can; what lost its place or is new goes to its cheapest place, broken promises counted. Only if that makes
 * visits late or leaves them out is the neighborhood searched, briefly.
 */
export function repairToFacts(before: Day, facts: FactsNow, now: number, options: RepairOptions): Repair {
  return repairTo(before, facts, now, options)
}

function repairTo(before: Day, facts: FactsNow | EventOutcome, now: number, options: RepairOptions): Repair {
  const { day } = facts
  const settled = settle(day, facts.begun, now, options.freezeMinutes)
  const known = new Set(day.shift.visits.map((visit) => visit.id))
  const promises = promisesOf(before.schedule).filter((item) => known.has(item.visit))
  const lateBefore = suffering(priceStops(before.shift, stopsFor(before)))
  const released: Pin[] = []
  for (let pins = day.pins; ; ) {
    const standing = standingFrom({ ...day, pins }, now, settled.done)
    const compiled = compile({ ...day.shift, previousPlan: promises }, standing)
    const state = keptState(compiled, settled.open)
    const lost = pinnedLeftOut(compiled, state).map((v) => compiled.visits[v]?.id)
    if (lost.length > 0) {
      released.push(...pins.filter((pin) => lost.includes(pin.visit)))
      pins = pins.flatMap((pin) => (lost.includes(pin.visit) ? loosened(pin) : [pin]))
      continue
    }
    let priced = heldPlan(compiled, state, promises)
    if (suffering(priced) > lateBefore) {
      calmSearch(state, options.seed)
      priced = heldPlan(compiled, state, promises)
    }
    const next: Day = { ...day, pins, schedule: priced.schedule }
    const changes = promiseChanges(before, next)
    return { day: next, standing, priced, changes, releasedPins: released, ignored: null }
  }
}

/** A pin that cannot be kept gives up its minute first, then its therapist. */
const loosened = (pin: Pin): Pin[] =>
  pin.start === undefined ? [] : [{ visit: pin.visit, therapist: pin.therapist }]

function calmSearch(state: PlanState, seed: number): void {
  improve(state, { seed, effort: { iterations: URGENT_ROUNDS }, ...CALM })
}

/** Lateness and visits left out, in points: what patients feel. */
const suffering = ({ parts }: Pick<PricedPlan, 'parts'>): number => parts.late + parts.drop

const stopsFor = (day: Day) =>
  day.shift.therapists.map(({ id }) => day.schedule.find((item) => item.therapist === id)?.stops ?? [])
