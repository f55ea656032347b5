import { BREAK, type Shift, type Stop } from '../rounds/index.ts'
import { type Away, type Pin, type Spot, walkMinutes } from '../rounds/standing.ts'
import type { CrewMember } from './crew.ts'
import type { DoneStay } from './stay.ts'

/** A stop of the plan in force in minutes of the shift. */
export type PromisedStop = { readonly visit: string | null; readonly start: number; readonly end: number }

export type DayInputs = {
  readonly shift: Shift
  readonly now: number
  readonly freezeMinutes: number
  readonly away: readonly Away[]
  readonly pins: readonly Pin[]
}

/** What of somebody's day is settled, and what the plan in force leaves open, in its order. */
export type SettledDay = { readonly done: readonly Stop[]; readonly open: readonly string[] }

/**
 * What is settled of one person's day: stays of the record, a break that was taken as promised, and what she is on her
 * way to or begins within the frozen minutes. Times are as they can be kept from here.
 */
export function settledDay(
  person: CrewMember,
  k: number,
  stays: readonly (DoneStay & { readonly start: number; readonly end: number })[],
  promised: readonly PromisedStop[],
  inputs: DayInputs,
): SettledDay {
  const given = stays
    .map(({ visit, start, end }) => ({ visit, start, end }))
    .sort((a, b) => a.end - b.end || a.start - b.start)
  const rest = breakTaken(person, given, promised, inputs.now)
  const done: Stop[] = [...given, ...rest].sort((a, b) => a.end - b.end || a.start - b.start)
  const begun = new Set(given.map(({ visit }) => visit))
  const open = promised.filter(({ visit }) => (visit === null ? rest.length === 0 : !begun.has(visit)))
  const frozen = person.gone ? [] : frozenStops(k, done, open, inputs)
  return {
    done: [...done, ...frozen],
    open: open.slice(frozen.length).map(({ visit }) => visit ?? BREAK),
  }
}

/** A promised break counts as taken when its time has come and no visit was begun in it. */
function breakTaken(
  { break: pause }: CrewMember,
  given: readonly Stop[],
  promised: readonly PromisedStop[],
  now: number,
): Stop[] {
  const rest = promised.find(({ visit }) => visit === null)
  if (!pause || !rest || rest.start > now) return []
  const lastEnd = Math.max(
    rest.start,
    ...given.filter(({ start }) => start <= rest.start).map(({ end }) => end),
  )
  const until = lastEnd + pause.duration
  const begunIn = given.some(({ start }) => start > rest.start && start < until)
  return begunIn || lastEnd > now ? [] : [{ visit: null, start: lastEnd, end: until }]
}

function frozenStops(
  k: number,
  done: readonly Stop[],
  open: readonly PromisedStop[],
  { shift, now, freezeMinutes, away }: DayInputs,
): Stop[] {
  const therapist = shift.therapists[k] as Shift['therapists'][number]
  const frozen: Stop[] = []
  let last = done.at(-1)
  let freeAt = Math.max(now, therapist.start.time, last?.end ?? 0)
  for (const stop of open) {
    if (stop.visit === null) break
    const visit = shift.visits.find(({ id }) => id === stop.visit)
    if (!visit) break
    const walk = walkMinutes(shift, spotOf(shift, k, last), spotOf(shift, k, { ...stop, visit: stop.visit }))
    const start = Math.max(freeAt + walk, visit.earliest, stop.start)
    const leaves = start - walk
    const held = leaves <= now || start < now + freezeMinutes
    const end = start + visit.duration
    const isAway = away.some(
      (each) => each.patient === visit.patient && start < each.until && end > each.from,
    )
    const able = visit.skill === null || therapist.skills.includes(visit.skill)
    if (!held || isAway || !able || start > visit.latest || end > therapist.end.time) break
    last = { visit: stop.visit, start, end }
    frozen.push(last)
    freeAt = end
  }
  return frozen
}

function spotOf(shift: Shift, k: number, stop: Stop | undefined): Spot {
  const unit = (id: string) => shift.units.findIndex((each) => each.id === id)
  const therapist = shift.therapists[k] as Shift['therapists'][number]
  if (!stop) return { unit: unit(therapist.start.unit), patient: null }
  if (stop.visit === null) return { unit: unit(therapist.break?.unit ?? therapist.start.unit), patient: null }
  const visit = shift.visits.find(({ id }) => id === stop.visit)
  const patient = shift.patients.find(({ id }) => id === visit?.patient)
  return { unit: unit(patient?.unit ?? therapist.start.unit), patient: patient?.id ?? null }
}
