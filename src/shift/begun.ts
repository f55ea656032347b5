import type { Stop } from '../rounds/index.ts'
import type { CrewMember } from './crew.ts'
import type { PromisedStop } from './promised.ts'
import type { DoneStay } from './stay.ts'

/**
 * What one person has finished or is doing, at its real times: stays of the record, and a break that was taken as
 * promised.
 */
export function begunStops(
  person: CrewMember,
  stays: readonly (DoneStay & { readonly start: number; readonly end: number })[],
  promised: readonly PromisedStop[],
  now: number,
): Stop[] {
  const given = stays.map(({ visit, start, end }) => ({ visit, start, end }))
  return [...given, ...breakTaken(person, given, promised, now)].sort(
    (a, b) => a.end - b.end || a.start - b.start,
  )
}

/** A promised break counts as taken when its time has come and no visit was begun in it: breaks are not charted. */
function breakTaken(
  { break: pause }: CrewMember,
  given: readonly Stop[],
  promised: readonly PromisedStop[],
  now: number,
): Stop[] {
  const rest = promised.find(({ visit }) => visit === null)
  if (!pause || !rest || rest.start > now) return []
  const start = Math.max(
    rest.start,
    ...given.filter((stop) => stop.start <= rest.start).map(({ end }) => end),
  )
  const end = start + pause.duration
  const begunIn = given.some((stop) => stop.start > rest.start && stop.start < end)
  return begunIn || start > now ? [] : [{ visit: null, start, end }]
}
