import { type Compiled, compile } from './compile.ts'
import type { Day } from './day.ts'
import { loadPlan, PlanImpossible } from './evaluate.ts'
import { takeEvent } from './events.ts'
import { constructed, type Effort, improve } from './improve.ts'
import { BREAK, type Therapist } from './model.ts'
import { openingStanding } from './standing.ts'

/** What a plan costs that knew every event beforehand: the yardstick for planning as things happen. */
export type Clairvoyant = {
  readonly cost: number
  /** True when no plan cheaper than the day as it was lived was found. */
  readonly isRealized: boolean
}

/**
 * The cheapest of a search from nothing, a search from the day as it was lived, and that day itself (it is a plan too,
 * so the yardstick is never above what happened). Visits in `without` are left out of the problem and paid for.
 */
export function clairvoyantCost(
  opening: Day,
  realized: Day,
  realizedCost: number,
  options: { readonly seed: number; readonly effort: Effort },
  without: readonly string[] = [],
): Clairvoyant {
  const known = knownBeforehand(opening)
  const compiled = compile(
    { ...known.shift, visits: known.shift.visits.filter((visit) => !without.includes(visit.id)) },
    { ...openingStanding(known.shift), away: known.away },
  )
  const extra = known.shift.visits
    .filter((visit) => without.includes(visit.id))
    .reduce((sum, visit) => sum + (known.shift.weights.drop[visit.priority - 1] as number), 0)
  const cost = Math.min(fromNothing(compiled, options), fromRealized(compiled, realized, options)) + extra
  return cost < realizedCost ? { cost, isRealized: false } : { cost: realizedCost, isRealized: true }
}

function fromNothing(
  compiled: Compiled,
  options: { readonly seed: number; readonly effort: Effort },
): number {
  const state = constructed(compiled.flat)
  improve(state, options)
  return state.cost()
}

/** Infinite where the day as it was lived does not fit the problem (somebody who left finished what was running). */
function fromRealized(
  compiled: Compiled,
  realized: Day,
  options: { readonly seed: number; readonly effort: Effort },
): number {
  const visits = new Set(compiled.visits.map((visit) => visit.id))
  const routes = compiled.shift.therapists.map(({ id }, k) => {
    const stops = realized.schedule.find((item) => item.therapist === id)?.stops ?? []
    const list = stops.map((stop) => stop.visit ?? BREAK)
    return list.filter((stop) => (stop === BREAK ? compiled.flat.hasBreak[k] === 1 : visits.has(stop)))
  })
  try {
    const state = loadPlan(compiled, { routes })
    improve(state, { ...options, hot: 1 })
    return state.cost()
  } catch (error) {
    if (error instanceof PlanImpossible) return Number.POSITIVE_INFINITY
    throw error
  }
}

/** The day with every event of its file taken before it begins. */
function knownBeforehand(opening: Day): Day {
  const nothingPlanned: Day = { ...opening, schedule: [] }
  const inTime = [...opening.shift.events].sort((a, b) => a.time - b.time)
  const all = inTime.reduce((day, event) => takeEvent(day, event).day, nothingPlanned)
  const leaving = new Map(
    opening.shift.events.flatMap((event) =>
      event.type === 'therapist-leaves' && all.gone.includes(event.therapist)
        ? [[event.therapist, event.time] as const]
        : [],
    ),
  )
  const therapists = all.shift.therapists.map((therapist) => {
    const time = leaving.get(therapist.id)
    return time === undefined ? therapist : leavingAt(therapist, time)
  })
  return { ...all, gone: [], shift: { ...all.shift, therapists, previousPlan: null } }
}

/** A therapist of whom it is known that she goes at a time: she is home by then, and rests only if she rests before. */
export function leavingAt(therapist: Therapist, time: number): Therapist {
  const rests = therapist.break !== null && therapist.break.earliest + therapist.break.duration <= time
  const end = Math.min(therapist.end.time, Math.max(therapist.start.time, time))
  return {
    ...therapist,
    end: { ...therapist.end, time: end },
    break:
      rests && therapist.break !== null
        ? { ...therapist.break, latest: Math.min(therapist.break.latest, end - therapist.break.duration) }
        : null,
  }
}
