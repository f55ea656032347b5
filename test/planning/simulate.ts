import type { Day } from '../../src/rounds/day.ts'
import { checkDay } from './day-check.ts'

/**
 * Lives a day from `now` on in the plainest way: what is done stays, the rest of each sequence starts as early as it
 * can, passes repeated until no gap moves anything. Gives the price with promises, or null if a rule is broken. Shares
 * no code with the planner (only its types).
 */
export function simulate(
  day: Day,
  done: Day['schedule'][number]['stops'][],
  open: readonly (readonly string[])[],
  now: number,
): { readonly starts: ReadonlyMap<string, number>; readonly total: number } | null {
  const { shift } = day
  const visit = (id: string) => shift.visits.find((item) => item.id === id) as Day['shift']['visits'][number]
  const patient = (id: string) =>
    shift.patients.find((item) => item.id === visit(id).patient) as Day['shift']['patients'][number]
  const unit = (id: string) => shift.units.findIndex((item) => item.id === id)
  const starts = new Map<string, number>()
  for (const stop of done.flat()) if (stop.visit !== null) starts.set(stop.visit, stop.start)
  const given = [...starts.keys(), ...open.flat().filter((id) => id !== 'break')]
  const released = (id: string): number => {
    const before = given.filter(
      (other) =>
        visit(other).patient === visit(id).patient &&
        (visit(other).due < visit(id).due ||
          (visit(other).due === visit(id).due &&
            shift.visits.indexOf(visit(other)) < shift.visits.indexOf(visit(id)))),
    )
    return Math.max(0, ...before.map((other) => (starts.get(other) ?? 0) + patient(id).minGap))
  }
  let schedule: Day['schedule'] = []
  for (let pass = 0, before = ''; pass < 200; pass++) {
    schedule = shift.therapists.map((therapist, k) => {
      const stops = [...(done[k] ?? [])]
      for (const id of open[k] ?? []) {
        const last = stops.at(-1)
        const from =
          last === undefined
            ? { unit: therapist.start.unit, patient: null }
            : last.visit === null
              ? { unit: therapist.break?.unit ?? '', patient: null }
              : { unit: patient(last.visit).unit, patient: patient(last.visit).id }
        const to =
          id === 'break'
            ? { unit: therapist.break?.unit ?? '', patient: null }
            : { unit: patient(id).unit, patient: patient(id).id }
        const way =
          from.unit !== to.unit
            ? (shift.travel[unit(from.unit)]?.[unit(to.unit)] as number)
            : from.patient === null || to.patient === null || from.patient === to.patient
              ? 0
              : shift.roomChange
        const free = Math.max(now, last?.end ?? therapist.start.time)
        const opens =
          id === 'break' ? (therapist.break?.earliest ?? 0) : Math.max(visit(id).earliest, released(id))
        const start = Math.max(free + way, opens)
        const length = id === 'break' ? (therapist.break?.duration ?? 0) : visit(id).duration
        stops.push({ visit: id === 'break' ? null : id, start, end: start + length })
        if (id !== 'break') starts.set(id, start)
      }
      return { therapist: therapist.id, stops, load: 0 }
    })
    const now2 = JSON.stringify([...starts])
    if (now2 === before) break
    before = now2
  }
  const check = checkDay({ ...day, schedule }, now)
  if (check.broken.length > 0) return null
  return { starts, total: check.total + promisesBroken(day, schedule) }
}

/** What the schedule costs in promises, the plan in force being the promise. */
function promisesBroken(day: Day, schedule: Day['schedule']): number {
  const { reassign, postponePerMinute, promiseTolerance } = day.shift.weights
  let points = 0
  for (const { therapist, stops } of schedule)
    for (const stop of stops)
      for (const promised of day.schedule)
        for (const was of promised.stops) {
          if (stop.visit === null || was.visit !== stop.visit) continue
          if (promised.therapist !== therapist) points += reassign
          points += postponePerMinute * Math.max(0, stop.start - was.start - promiseTolerance)
        }
  return points
}
