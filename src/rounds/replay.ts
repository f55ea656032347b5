import { clairvoyantCost } from './clairvoyant.ts'
import { compile } from './compile.ts'
import { beginDay, type Day } from './day.ts'
import { type PlanParts, pricedState, priceStops } from './evaluate.ts'
import { constructed, type Effort, improve } from './improve.ts'
import type { Shift, ShiftEvent } from './model.ts'
import type { PromiseChange } from './promise.ts'
import { betterOffer } from './replan/offer.ts'
import { type RepairOptions, repair } from './replan/repair.ts'

export type ReplayOptions = RepairOptions & {
  /** For the first plan, for the search after each event, and for the plan that knew everything. */
  readonly planEffort: () => Effort
  readonly offerEffort: () => Effort
  readonly leastGainPerChange: number
  /** Reads a clock in milliseconds, for the times of repairs only. */
  readonly now: () => number
}

export type ReplayedEvent = {
  readonly event: ShiftEvent
  readonly repairMs: number
  /** Promises changed by the repair, and by the better plan if one was taken. */
  readonly changes: readonly PromiseChange[]
  readonly offered: readonly PromiseChange[]
  readonly ignored: string | null
}

/** A visit that no plan could give any more when it was ordered: a dose of the patient already begun stood in its way. */
export type ClosedVisit = { readonly visit: string; readonly behind: string; readonly points: number }

export type ReplayReport = {
  readonly events: readonly ReplayedEvent[]
  readonly repairMs: { readonly p50: number; readonly p95: number; readonly most: number }
  /** What the day cost in the end, promises to patients only (no re-planning prices). */
  readonly realized: number
  readonly realizedParts: PlanParts
  /** What a plan cost that knew every event beforehand; never above `realized`. */
  readonly clairvoyant: number
  readonly closedOnArrival: readonly ClosedVisit[]
  /** The same yardstick, but without foresight of the orders that were closed on arrival: it pays for them too. */
  readonly clairvoyantButClosed: number
  readonly day: Day
}

/**
 * Plays the events of a shift: plans it without knowing them, repairs at each, takes better plans that are worth it,
 * and compares the day with a plan that knew everything.
 * @throws EventRefused
 */
export function replay(shift: Shift, options: ReplayOptions): ReplayReport {
  const opening = firstDay(shift, options)
  let day = opening
  const events: ReplayedEvent[] = []
  const closed: ClosedVisit[] = []
  for (const event of [...shift.events].sort((a, b) => a.time - b.time)) {
    const step = afterEvent(day, event, options)
    day = step.day
    events.push(step.told)
    closed.push(...closedOnArrival(day, step.told))
  }
  const stops = day.schedule.map((item) => item.stops)
  const final = priceStops({ ...day.shift, previousPlan: null }, stops)
  const yardstick = (without: readonly string[]) =>
    clairvoyantCost(opening, day, final.total, { seed: options.seed, effort: options.planEffort() }, without)
      .cost
  const clairvoyant = yardstick([])
  return {
    events,
    repairMs: spread(events.map((item) => item.repairMs)),
    realized: final.total,
    realizedParts: final.parts,
    clairvoyant,
    closedOnArrival: closed,
    clairvoyantButClosed: closed.length === 0 ? clairvoyant : yardstick(closed.map((item) => item.visit)),
    day,
  }
}

function firstDay(shift: Shift, options: ReplayOptions): Day {
  const compiled = compile({ ...shift, previousPlan: null })
  const state = constructed(compiled.flat)
  improve(state, { seed: options.seed, effort: options.planEffort() })
  return beginDay(compiled.shift, pricedState(compiled, state).schedule)
}

function afterEvent(
  day: Day,
  event: ShiftEvent,
  options: ReplayOptions,
): { readonly day: Day; readonly told: ReplayedEvent } {
  const from = options.now()
  const repaired = repair(day, event, options)
  const repairMs = options.now() - from
  const { seed, leastGainPerChange } = options
  const offer = betterOffer(repaired, { seed, effort: options.offerEffort(), leastGainPerChange })
  const { changes, ignored } = repaired
  return {
    day: offer?.day ?? repaired.day,
    told: { event, repairMs, changes, offered: offer?.changes ?? [], ignored },
  }
}

function closedOnArrival(day: Day, { event, changes }: ReplayedEvent): ClosedVisit[] {
  if (event.type !== 'new-visit') return []
  const change = changes.find((item) => item.visit === event.visit.id && item.kind === 'left-out')
  if (change?.reason.kind !== 'gap-closed') return []
  const behind = change.reason.visit
  const begun = day.schedule.some((item) =>
    item.stops.some((stop) => stop.visit === behind && stop.start <= event.time),
  )
  const points = day.shift.weights.drop[event.visit.priority - 1] as number
  return begun ? [{ visit: event.visit.id, behind, points }] : []
}

function spread(values: readonly number[]): ReplayReport['repairMs'] {
  const sorted = [...values].sort((a, b) => a - b)
  const at = (share: number) => sorted[Math.max(0, Math.ceil(share * sorted.length) - 1)] ?? 0
  return { p50: at(0.5), p95: at(0.95), most: sorted[sorted.length - 1] ?? 0 }
}
