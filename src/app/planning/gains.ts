import type { TherapistSchedule } from '../../rounds/evaluate.ts'
import { priceStops } from '../../rounds/evaluate.ts'
import { capital, counted } from './in-words.ts'
import type { Made } from './made-plan.ts'
import type { PlanningBase } from './planning-base.ts'

/** What a plan is about, in figures that a person cares for. */
export type Figures = {
  readonly leftOut: number
  readonly late: number
  readonly lateMinutes: number
  readonly walkMinutes: number
  readonly largestLoad: number
}

/** The figures of a plan. */
export function figuresOf(base: PlanningBase, { day, dropped }: Pick<Made, 'day' | 'dropped'>): Figures {
  const { shift, schedule } = day
  const visits = new Map(shift.visits.map((visit) => [visit.id, visit]))
  const over = schedule.flatMap(({ stops }) =>
    stops.flatMap(({ visit, start }) => {
      const planned = visits.get(visit ?? '')
      return planned && start >= base.now && start > planned.onTimeUntil ? [start - planned.onTimeUntil] : []
    }),
  )
  const walk = priceStops({ ...shift, weights: { ...shift.weights, walk: 1 } }, stopsOf(schedule)).parts.walk
  return {
    leftOut: dropped.length,
    late: over.length,
    lateMinutes: over.reduce((sum, minutes) => sum + minutes, 0),
    walkMinutes: walk,
    largestLoad: Math.max(0, ...schedule.map(({ load }) => load)),
  }
}

const stopsOf = (schedule: readonly TherapistSchedule[]) => schedule.map(({ stops }) => stops)

/** What the second plan brings over the first, good and bad, as sentences; never empty. */
export function gains(base: PlanningBase, from: Made, to: Made): string[] {
  const [a, b] = [figuresOf(base, from), figuresOf(base, to)]
  const said = [
    step(a.leftOut - b.leftOut, (n) => [
      `${counted(n, 'visit')} more can be reached`,
      `${counted(n, 'visit')} more cannot be reached`,
    ]),
    step(a.late - b.late, (n) => [`${counted(n, 'visit')} fewer late`, `${counted(n, 'visit')} more late`]),
    step(a.lateMinutes - b.lateMinutes, (n) => [`${n} min less late in all`, `${n} min more late in all`]),
    step(a.walkMinutes - b.walkMinutes, (n) => [`${n} min less walking`, `${n} min more walking`]),
    step(a.largestLoad - b.largestLoad, (n) => [
      `${n} min less for whoever has most to do`,
      `${n} min more for whoever has most to do`,
    ]),
  ].flatMap((words) => (words === null ? [] : [`${capital(words)}.`]))
  return said.length > 0 ? said : ['Nothing is later, and nobody has more to do.']
}

function step(difference: number, words: (size: number) => readonly [string, string]): string | null {
  if (difference === 0) return null
  const [better, worse] = words(Math.abs(difference))
  return difference > 0 ? better : worse
}
