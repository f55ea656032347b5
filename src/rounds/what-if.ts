import { leavingAt } from './clairvoyant.ts'
import { begunBy, type Day } from './day.ts'
import { type PlanParts, priceStops } from './evaluate.ts'
import { type Repair, type RepairOptions, repairToFacts } from './replan/repair.ts'
import type { Stop } from './standing.ts'

/** A plan for a day that may come, beside the plan in force. Nothing is issued by asking. */
export type WhatIf = {
  readonly present: {
    readonly parts: PlanParts
    readonly lateMinutes: number
    readonly dropped: readonly string[]
  }
  readonly instead: Repair
  /** Instead less present: minutes late, visits that would no longer be given, and points without the price of changing promises. */
  readonly moreLateMinutes: number
  readonly alsoDropped: readonly string[]
  readonly morePoints: number
}

/** Thrown when a question names somebody unknown, or a time that has passed. */
export class CannotAsk extends Error {
  override readonly name = 'CannotAsk'
}

/**
 * What if a therapist went home at a minute: she is home by then, rests only if she rests before, and the others take
 * over what pays. What has begun, and the next minutes, stay as they are.
 * @throws CannotAsk
 */
export function whatIfLeaves(
  day: Day,
  therapist: string,
  minute: number,
  now: number,
  options: RepairOptions,
  begun: readonly (readonly Stop[])[] = begunBy(day, now),
): WhatIf {
  if (!day.shift.therapists.some((item) => item.id === therapist) || day.gone.includes(therapist))
    throw new CannotAsk(`${therapist} is not at work`)
  if (minute < now) throw new CannotAsk(`minute ${minute} has passed`)
  const therapists = day.shift.therapists.map((item) =>
    item.id === therapist ? leavingAt(item, minute) : item,
  )
  const asked: Day = { ...day, shift: { ...day.shift, therapists } }
  return compared(day, repairToFacts(day, { day: asked, begun }, now, options))
}

function compared(day: Day, instead: Repair): WhatIf {
  const present = priceStops(
    { ...day.shift, previousPlan: null },
    day.shift.therapists.map(({ id }) => day.schedule.find((item) => item.therapist === id)?.stops ?? []),
  )
  const { parts, total, lateMinutes, dropped } = instead.priced
  return {
    present,
    instead,
    moreLateMinutes: lateMinutes - present.lateMinutes,
    alsoDropped: dropped.filter((visit) => !present.dropped.includes(visit)),
    morePoints: total - parts.reassign - parts.postpone - present.total,
  }
}
