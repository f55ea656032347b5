import { doseOrder } from './compile.ts'
import { type Day, Places } from './day.ts'
import type { Therapist } from './model.ts'
import { type Stop, walkMinutes } from './standing.ts'

/** What keeps a stop from starting any earlier. */
export type Binding =
  /** Its window opens then. */
  | { readonly kind: 'window' }
  /** The therapist's shift begins, and she walks there. */
  | { readonly kind: 'shift-start'; readonly walk: number }
  /** The stop before ends, and she walks there. */
  | { readonly kind: 'stop-before'; readonly stop: Stop; readonly walk: number }
  /** The patient's dose before, and the gap. */
  | { readonly kind: 'gap'; readonly visit: string; readonly therapist: string; readonly gap: number }
  /** The patient is away until then. */
  | { readonly kind: 'away'; readonly from: number; readonly until: number }
  /** Nothing: it was fixed or promised at that time and could start earlier. */
  | { readonly kind: 'kept' }

/** Answers, for a day's plan, what binds each stop. */
export class Bindings {
  private readonly day: Day
  private readonly places: Places
  private readonly starts: ReadonlyMap<string, { readonly start: number; readonly therapist: string }>

  constructor(day: Day) {
    this.day = day
    this.places = new Places(day.shift)
    this.starts = new Map(
      day.schedule.flatMap(({ therapist, stops }) =>
        stops.flatMap((stop) =>
          stop.visit === null ? [] : [[stop.visit, { start: stop.start, therapist }] as const],
        ),
      ),
    )
  }

  /** What binds stop number `index` of therapist number k: the first of gap, stop before, absence, window that meets its start. */
  of(k: number, index: number): Binding {
    const stop = this.day.schedule[k]?.stops[index] as Stop
    const arrival = this.arrival(k, index)
    const gap = stop.visit === null ? null : this.gapBefore(stop.visit)
    if (gap !== null && gap.release === stop.start) return gap.binding
    if (arrival.time === stop.start) return arrival.binding
    const away = stop.visit === null ? undefined : this.absenceUntil(stop.visit, stop.start)
    if (away !== undefined) return { kind: 'away', from: away.from, until: away.until }
    if (this.opening(k, stop) === stop.start) return { kind: 'window' }
    return { kind: 'kept' }
  }

  private opening(k: number, stop: Stop): number {
    if (stop.visit !== null) return this.places.visit(stop.visit).earliest
    return this.day.shift.therapists[k]?.break?.earliest ?? stop.start
  }

  private arrival(k: number, index: number): { readonly time: number; readonly binding: Binding } {
    const therapist = this.day.shift.therapists[k] as Therapist
    const stops = this.day.schedule[k]?.stops ?? []
    const to = this.places.of(stops[index] as Stop, therapist)
    const before = stops[index - 1]
    if (before === undefined) {
      const walk = walkMinutes(this.day.shift, this.places.unit(therapist.start.unit), to)
      return { time: therapist.start.time + walk, binding: { kind: 'shift-start', walk } }
    }
    const walk = walkMinutes(this.day.shift, this.places.of(before, therapist), to)
    return { time: before.end + walk, binding: { kind: 'stop-before', stop: before, walk } }
  }

  private gapBefore(visit: string): { readonly release: number; readonly binding: Binding } | null {
    const { shift } = this.day
    const patient = this.places.patientOf(visit)
    const doses = doseOrder(shift.visits.filter((item) => item.patient === patient.id))
    const earlier = doses.slice(
      0,
      doses.findIndex((item) => item.id === visit),
    )
    const before = earlier.reverse().find((item) => this.starts.has(item.id))
    if (before === undefined) return null
    const { start, therapist } = this.starts.get(before.id) as { start: number; therapist: string }
    return {
      release: start + patient.minGap,
      binding: { kind: 'gap', visit: before.id, therapist, gap: patient.minGap },
    }
  }

  private absenceUntil(visit: string, start: number) {
    const patient = this.places.patientOf(visit).id
    return this.day.away.find((away) => away.patient === patient && away.until === start)
  }
}
