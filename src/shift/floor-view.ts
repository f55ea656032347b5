import type { Stop } from '../rounds/index.ts'
import { walkMinutes } from '../rounds/standing.ts'
import { type PromiseCounts, promiseWords, type RoundView, roundViews, type ViewInput } from './round-view.ts'
import type { NotPlanned, Stay } from './stay.ts'

/** What an hour of the shift holds for one person, in minutes; a busy hour has sixty. */
export type HourLoad = {
  readonly hour: number
  readonly bedside: number
  readonly walking: number
  readonly rest: number
}

export type FloorView = {
  readonly rounds: readonly (RoundView & {
    readonly units: readonly string[]
    readonly gone: boolean
    /** Bedside and walking minutes of the whole shift. */
    readonly loadMinutes: number
    readonly hours: readonly HourLoad[]
  })[]
  readonly counts: PromiseCounts
  /** What nobody can give, said first, the most urgent first. */
  readonly leftOut: readonly Stay[]
  readonly notPlanned: readonly NotPlanned[]
  /** "58 visits, 55 on time, 3 late, at most by 12 min. 2 left out." */
  readonly promise: string
  /** Two plans made without each other stand side by side: somebody must choose. */
  readonly contested: boolean
}

/** Everybody side by side: threads, load by hour, and what the shift promises as a whole. */
export function floorView(input: ViewInput, dropped: readonly string[]): FloorView {
  const { problem, day } = input
  const rounds = roundViews(input).map((round, k) => {
    const person = problem.crew[k]
    const schedule = day.schedule.find(({ therapist }) => therapist === round.personId)
    return {
      ...round,
      units: person?.units ?? [],
      gone: person?.gone ?? false,
      loadMinutes: schedule?.load ?? 0,
      hours: hoursOf(input, k, schedule?.stops ?? []),
    }
  })
  const counts = rounds.reduce<PromiseCounts>(
    (sum, { counts: own }) => ({
      visits: sum.visits + own.visits,
      onTime: sum.onTime + own.onTime,
      late: sum.late + own.late,
      mostLateMinutes: Math.max(sum.mostLateMinutes, own.mostLateMinutes),
    }),
    { visits: 0, onTime: 0, late: 0, mostLateMinutes: 0 },
  )
  const leftOut = problem.stays
    .filter(({ visit }) => dropped.includes(visit))
    .sort((a, b) => a.priority - b.priority || (a.dueAt < b.dueAt ? -1 : 1))
  return {
    rounds,
    counts,
    leftOut,
    notPlanned: problem.notPlanned,
    promise: [
      ...(leftOut.length > 0 ? [`${leftOut.length} left out.`] : []),
      promiseWords(counts),
      ...(problem.notPlanned.length > 0 ? [`${problem.notPlanned.length} cannot be planned.`] : []),
    ].join(' '),
    contested: problem.contested.length > 0,
  }
}

type Piece = { readonly from: number; readonly until: number; readonly what: 'bedside' | 'walking' | 'rest' }

function hoursOf({ day, problem }: ViewInput, k: number, stops: readonly Stop[]): HourLoad[] {
  const pieces = stops.flatMap((stop, at): Piece[] => {
    const walk = walkMinutes(day.shift, spotOf(day.shift, k, stops[at - 1]), spotOf(day.shift, k, stop))
    const what = stop.visit === null ? ('rest' as const) : ('bedside' as const)
    return [
      { from: stop.start - walk, until: stop.start, what: 'walking' },
      { from: stop.start, until: stop.end, what },
    ]
  })
  const hours = Math.ceil(problem.shift.horizon / 60)
  return Array.from({ length: hours }, (_, hour) => {
    const inside = (what: Piece['what']) =>
      pieces
        .filter((piece) => piece.what === what)
        .reduce((sum, { from, until }) => sum + overlap(from, until, hour * 60, hour * 60 + 60), 0)
    return { hour, bedside: inside('bedside'), walking: inside('walking'), rest: inside('rest') }
  })
}

function overlap(from: number, until: number, low: number, high: number): number {
  return Math.max(0, Math.min(until, high) - Math.max(from, low))
}

function spotOf(shift: ViewInput['day']['shift'], k: number, stop: Stop | undefined) {
  const unit = (id: string | undefined) => shift.units.findIndex((each) => each.id === id)
  const therapist = shift.therapists[k]
  if (!stop) return { unit: unit(therapist?.start.unit), patient: null }
  if (stop.visit === null)
    return { unit: unit(therapist?.break?.unit ?? therapist?.start.unit), patient: null }
  const visit = shift.visits.find(({ id }) => id === stop.visit)
  const patient = shift.patients.find(({ id }) => id === visit?.patient)
  return { unit: unit(patient?.unit), patient: patient?.id ?? null }
}
