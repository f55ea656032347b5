import type { PricedPlan } from './evaluate.ts'
import { type HelpOptions, meets, solveQuickly } from './help.ts'
import type { Shift, Therapist } from './model.ts'

/** A crew with shifts cut to what the work needs, and a plan for it that keeps the service level. */
export type LeanCrew = { readonly shift: Shift; readonly plan: PricedPlan }

const HOUR = 60

/**
 * Cuts a crew's shifts hour by hour from both ends, the last therapist first, as long as a plan is found that keeps
 * the service level. What is left is enough for the work; that less would not be is not proved. A break is never cut
 * away: a shift keeps room for it. When stopped, gives what was found so far.
 */
export function leanCrew(crew: LeanCrew, options: HelpOptions): LeanCrew {
  let best = crew
  for (let k = crew.shift.therapists.length - 1; k >= 0; k--)
    for (const cut of [endingEarlier, startingLater]) best = cutBack(best, k, cut, options)
  return best
}

type Cut = (shift: Shift, therapist: Therapist) => Therapist | null

function cutBack(crew: LeanCrew, k: number, cut: Cut, options: HelpOptions): LeanCrew {
  let best = crew
  while (!options.stop?.()) {
    const { shift } = best
    const shorter = cut(shift, shift.therapists[k] as Therapist)
    if (shorter === null) return best
    const tried = { ...shift, therapists: shift.therapists.with(k, shorter) }
    const plan = solveQuickly(tried, options)
    if (!meets(plan, options.level)) return best
    best = { shift: tried, plan }
  }
  return best
}

const endingEarlier: Cut = (shift, therapist) => {
  const end = { ...therapist.end, time: therapist.end.time - HOUR }
  return withRoom(shift, { ...therapist, end })
}

const startingLater: Cut = (shift, therapist) => {
  const start = { ...therapist.start, time: therapist.start.time + HOUR }
  return withRoom(shift, { ...therapist, start })
}

/** The therapist with a break that fits between start and end, walks to and from it included; null if none does. */
function withRoom(shift: Shift, therapist: Therapist): Therapist | null {
  const { start, end } = therapist
  const way = (from: string, to: string) => {
    const index = (id: string) => shift.units.findIndex((unit) => unit.id === id)
    return (shift.travel[index(from)] as readonly number[])[index(to)] as number
  }
  if (start.time + way(start.unit, end.unit) > end.time || start.time >= end.time) return null
  if (therapist.break === null) return therapist
  const { unit, duration } = therapist.break
  const earliest = Math.max(therapist.break.earliest, start.time + way(start.unit, unit))
  const latest = Math.min(therapist.break.latest, end.time - duration - way(unit, end.unit))
  return earliest > latest ? null : { ...therapist, break: { ...therapist.break, earliest, latest } }
}
