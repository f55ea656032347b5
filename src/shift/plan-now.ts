import { type Repair, repairToFacts, type Shift, standingFrom } from '../rounds/index.ts'
import type { ShiftProblem } from './problem.ts'

/**
 * The plan to show at once: the one in force, changed as little as it takes to be true of what is known now; without
 * one, the first by priority and regret. Milliseconds; `betterOffer` searches on from it.
 */
export function planNow(problem: ShiftProblem, seed: number): Repair {
  const { before, day, begun, minute, freezeMinutes } = problem
  const repair = repairToFacts(before, { day, begun }, minute, { freezeMinutes, seed })
  // What has begun is a promise kept, or a visit that nobody had to promise.
  const over = new Set(begun.flat().map(({ visit }) => visit))
  return { ...repair, changes: repair.changes.filter(({ visit }) => !over.has(visit)) }
}

/**
 * The rest of the shift as a problem of its own, for other programs: everybody begins where they are and when they are
 * free, and only what is still to be given is in it. Absences hold back a patient's visits; pins have no place in it.
 */
export function restOfShift(problem: ShiftProblem): Shift {
  const { day, begun, minute, stays, shift } = problem
  const standing = standingFrom(day, minute, begun)
  const open = new Set(stays.map(({ visit }) => visit))
  const here = shift.therapists
    .map((therapist, k) => ({ therapist, at: standing.therapists[k] }))
    .filter(({ therapist, at }) => at?.present && at.freeAt < therapist.end.time)
  const names = new Set(here.map(({ therapist }) => therapist.id))
  return {
    ...shift,
    therapists: here.map(({ therapist, at }) => ({
      ...therapist,
      start: { unit: at?.unit ?? therapist.start.unit, time: at?.freeAt ?? therapist.start.time },
      break: at?.breakPending ? therapist.break : null,
    })),
    visits: shift.visits
      .filter(({ id }) => open.has(id))
      .map((visit) => {
        const away = day.away.filter(({ patient, from }) => patient === visit.patient && from <= minute)
        const earliest = Math.max(visit.earliest, minute, ...away.map(({ until }) => until))
        const onTimeUntil = Math.max(earliest, visit.onTimeUntil)
        return { ...visit, earliest, onTimeUntil, latest: Math.max(onTimeUntil, visit.latest) }
      }),
    previousPlan: shift.previousPlan?.filter(({ therapist }) => names.has(therapist)) ?? null,
  }
}
