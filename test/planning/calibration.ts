import { onTimeChances } from '../../src/rounds/chance/chance.ts'
import type { Day } from '../../src/rounds/day.ts'
import { repairToFacts } from '../../src/rounds/replan/repair.ts'
import { liveOut, type Nature, type Truth, truthOf } from './truth.ts'

export type Judged = { readonly chance: number; readonly onTime: boolean }

type Stops = Day['schedule'][number]['stops']

/**
 * Lives one shift: at each of the given minutes the plan is repaired to what has really happened, the chance of every
 * visit to come is told, and the day goes on by that plan. What the last plan before its start told of a visit, and
 * whether it was then on time, are pairs; every telling at every minute counts once.
 */
export function judgeShift(
  opening: Day,
  minutes: readonly number[],
  nature: Nature,
  seed: number,
  samples: number,
): Judged[] {
  const truth = truthOf(opening, nature, seed)
  const judged: Judged[] = []
  let day = opening
  let begun: Stops[] = opening.shift.therapists.map(() => [])
  let then = 0
  for (const now of minutes) {
    if (now > 0) {
      begun = begunAt(day, begun, truth, then, now)
      const facts = { day, begun: asSeen(day, begun, now) }
      day = repairToFacts(day, facts, now, { freezeMinutes: 10, seed: 1 }).day
      then = now
    }
    const chances = onTimeChances(
      day,
      now,
      begun.map((stops) => stops.length),
      {
        samples,
        seed: 99,
        scatter: { durationCv: nature.durationCv, walkCv: nature.walkCv, planned: 'mean' },
      },
    )
    const lived = new Map(
      liveOut(day, begun, truth, now, heldBy(day, begun, now)).flatMap((stops) =>
        stops.map((stop) => [stop.visit, stop.start]),
      ),
    )
    const limit = new Map(day.shift.visits.map((visit) => [visit.id, visit.onTimeUntil]))
    for (const { visit, chance } of chances)
      judged.push({ chance, onTime: (lived.get(visit) as number) <= (limit.get(visit) as number) })
  }
  return judged
}

/** What has really begun by `until` if the day has gone on by its plan from `now`. */
function begunAt(day: Day, begun: readonly Stops[], truth: Truth, now: number, until: number): Stops[] {
  const lived = liveOut(day, begun, truth, now, heldBy(day, begun, now))
  return lived.map((stops) => stops.filter((stop) => stop.start <= until))
}

/** What the record shows of it: a visit in course is expected to end as planned, or at once if it has run over. */
function asSeen(day: Day, begun: readonly Stops[], now: number): Stops[] {
  const planned = new Map(day.shift.visits.map((visit) => [visit.id, visit.duration]))
  return begun.map((stops) =>
    stops.map((stop) => {
      if (stop.end <= now) return stop
      return {
        ...stop,
        end: Math.max(now, stop.start + (planned.get(stop.visit ?? '') ?? stop.end - stop.start)),
      }
    }),
  )
}

/** A therapist keeps a visit to the minute at which the plan holds it when it could begin earlier. */
function heldBy(day: Day, begun: readonly Stops[], now: number): (visit: string) => number {
  const planned = new Map(day.schedule.flatMap((item) => item.stops.map((stop) => [stop.visit, stop])))
  const nominal: Truth = {
    duration: (id) => {
      const stop = planned.get(id)
      return (stop?.end ?? 0) - (stop?.start ?? 0)
    },
    walk: () => 1,
  }
  const seen = begun.map((stops, k) => (day.schedule[k]?.stops ?? []).slice(0, stops.length))
  const starts = (stops: readonly Stops[]) => new Map(stops.flat().map((stop) => [stop.visit, stop.start]))
  const soonest = starts(liveOut(day, seen, nominal, now))
  const shown = starts(day.schedule.map((item) => item.stops))
  return (visit) => ((shown.get(visit) ?? 0) > (soonest.get(visit) ?? 0) ? (shown.get(visit) as number) : 0)
}
