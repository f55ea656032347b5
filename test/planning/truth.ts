import type { Day } from '../../src/rounds/day.ts'
import { Random } from '../../src/rounds/engine/random.ts'

type Stops = Day['schedule'][number]['stops']

/** How real durations and walks are drawn about what is planned: from lognormal or gamma laws of mean 1. */
export type Nature = {
  readonly law: 'lognormal' | 'gamma'
  readonly durationCv: number
  readonly walkCv: number
}

/** What really happens on one day: how long each visit takes, and how each way to it turns out. */
export type Truth = { readonly duration: (visit: string) => number; readonly walk: (visit: string) => number }

/** One day's truth, the same whatever order visits are given in. */
export function truthOf(day: Day, nature: Nature, seed: number): Truth {
  const dice = new Random(seed)
  const factor = (cv: number) => (nature.law === 'gamma' ? gamma(cv, dice) : lognormal(cv, dice))
  const drawn = new Map(
    day.shift.visits.map(({ id, duration }) => [
      id,
      { duration: Math.round(duration * factor(nature.durationCv)), walk: factor(nature.walkCv) },
    ]),
  )
  return {
    duration: (visit) => drawn.get(visit)?.duration as number,
    walk: (visit) => drawn.get(visit)?.walk as number,
  }
}

function lognormal(cv: number, dice: Random): number {
  const variance = Math.log1p(cv ** 2)
  return Math.exp(dice.normal() * Math.sqrt(variance) - variance / 2)
}

/** Marsaglia and Tsang's method for shape 1/cv² ≥ 1 (from memory), scaled to mean 1. */
function gamma(cv: number, dice: Random): number {
  const shape = 1 / cv ** 2
  const d = shape - 1 / 3
  const c = 1 / Math.sqrt(9 * d)
  for (;;) {
    const x = dice.normal()
    const v = (1 + c * x) ** 3
    if (v > 0 && Math.log(dice.unit()) < x ** 2 / 2 + d - d * v + d * Math.log(v)) return (d * v) / shape
  }
}

/**
 * Lives a plan's sequences out as the truth has it, from what has begun: everybody goes on as early as she can from `now`, but not
 * before the minute (`held`) at which the plan holds a visit. Shares no code with the planner's sampling.
 */
export function liveOut(
  day: Day,
  begun: readonly Stops[],
  truth: Truth,
  now: number,
  held: (visit: string) => number = () => 0,
): Stops[] {
  const { shift } = day
  const visits = new Map(shift.visits.map((item, i) => [item.id, { ...item, order: item.due * 10_000 + i }]))
  const patients = new Map(shift.patients.map((item) => [item.id, item]))
  const visit = (id: string) => visits.get(id) as Day['shift']['visits'][number] & { readonly order: number }
  const patient = (id: string) => patients.get(visit(id).patient) as Day['shift']['patients'][number]
  const unit = (id: string) => shift.units.findIndex((item) => item.id === id)
  const starts = new Map<string, number>()
  const doses = new Map<string, string[]>()
  for (const { visit: id } of day.schedule.flatMap((item) => item.stops))
    if (id !== null) doses.set(visit(id).patient, [...(doses.get(visit(id).patient) ?? []), id])
  let lived: Stops[] = []
  for (let pass = 0; pass < 100; pass++) {
    const before = JSON.stringify([...starts])
    lived = shift.therapists.map((therapist, k) => {
      const done = begun[k] ?? []
      const stops = done.map((stop) =>
        stop.visit === null ? stop : { ...stop, end: stop.start + truth.duration(stop.visit) },
      )
      for (const stop of stops) if (stop.visit !== null) starts.set(stop.visit, stop.start)
      for (const { visit: id } of (day.schedule[k]?.stops ?? []).slice(done.length)) {
        const last = stops.at(-1)
        const from =
          last === undefined
            ? { unit: therapist.start.unit, room: null }
            : last.visit === null
              ? { unit: therapist.break?.unit ?? '', room: null }
              : { unit: patient(last.visit).unit, room: patient(last.visit).id }
        const to =
          id === null
            ? { unit: therapist.break?.unit ?? '', room: null }
            : { unit: patient(id).unit, room: patient(id).id }
        const same = from.room === null || to.room === null || from.room === to.room
        const way =
          from.unit === to.unit
            ? same
              ? 0
              : shift.roomChange
            : (shift.travel[unit(from.unit)]?.[unit(to.unit)] as number)
        const free = last?.end ?? therapist.start.time
        const leaves = stops.length === done.length ? Math.max(free, now) : free
        if (id === null) {
          const start = Math.max(leaves + way, therapist.break?.earliest ?? 0)
          stops.push({ visit: null, start, end: start + (therapist.break?.duration ?? 0) })
          continue
        }
        const released = (doses.get(visit(id).patient) ?? [])
          .filter((other) => visit(other).order < visit(id).order)
          .map((other) => (starts.get(other) ?? 0) + patient(id).minGap)
        const arrival = leaves + Math.round(way * truth.walk(id))
        const start = Math.max(arrival, visit(id).earliest, held(id), ...released)
        starts.set(id, start)
        stops.push({ visit: id, start, end: start + truth.duration(id) })
      }
      return stops
    })
    if (JSON.stringify([...starts]) === before) break
  }
  return lived
}
