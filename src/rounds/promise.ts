import { Bindings } from './binding.ts'
import type { Day } from './day.ts'
import type { ShiftEvent } from './model.ts'

/** Who gives a visit, and when. */
export type Promised = { readonly therapist: string; readonly start: number }

export type ChangeKind = 'later' | 'earlier' | 'other-therapist' | 'added' | 'left-out' | 'cancelled'

/** Why a promise changed: the event itself, something it pushed, or an exchange that pays elsewhere. */
export type ChangeReason =
  | { readonly kind: 'new-visit' | 'cancelled' | 'overrun' }
  | { readonly kind: 'patient-away'; readonly until: number }
  | { readonly kind: 'therapist-left'; readonly therapist: string }
  | { readonly kind: 'follows'; readonly visit: string }
  | { readonly kind: 'gap-after'; readonly visit: string }
  | { readonly kind: 'no-room' }
  | { readonly kind: 'rearranged' }

/** One promise that is not kept as it was shown. */
export type PromiseChange = {
  readonly visit: string
  readonly kind: ChangeKind
  readonly from: Promised | null
  readonly to: Promised | null
  readonly reason: ChangeReason
}

/**
 * Everything that differs from what was promised: another therapist, a start moved by more than the tolerance, visits
 * added, left out or cancelled; each with its reason.
 */
export function promiseChanges(before: Day, after: Day, event: ShiftEvent | null): PromiseChange[] {
  const was = startsOf(before)
  const now = startsOf(after)
  const reasons = new Reasons(after, was, event)
  const visits = new Set([...before.shift.visits, ...after.shift.visits].map((visit) => visit.id))
  const still = new Set(after.shift.visits.map((visit) => visit.id))
  return [...visits].flatMap((visit) => {
    const from = was.get(visit) ?? null
    const to = now.get(visit) ?? null
    const kind = still.has(visit)
      ? kindOf(
          from,
          to,
          after.shift.weights.promiseTolerance,
          !before.shift.visits.some((v) => v.id === visit),
        )
      : 'cancelled'
    return kind === null ? [] : [{ visit, kind, from, to, reason: reasons.of(visit, kind, from, to) }]
  })
}

function startsOf(day: Day): Map<string, Promised> {
  return new Map(
    day.schedule.flatMap(({ therapist, stops }) =>
      stops.flatMap((stop) =>
        stop.visit === null ? [] : [[stop.visit, { therapist, start: stop.start }] as const],
      ),
    ),
  )
}

function kindOf(
  from: Promised | null,
  to: Promised | null,
  tolerance: number,
  fresh: boolean,
): ChangeKind | null {
  if (from === null) return to !== null ? 'added' : fresh ? 'left-out' : null
  if (to === null) return 'left-out'
  if (from.therapist !== to.therapist) return 'other-therapist'
  if (to.start > from.start + tolerance) return 'later'
  return to.start < from.start - tolerance ? 'earlier' : null
}

/** Finds why: first the event itself, then what holds the visit back in the new plan. */
class Reasons {
  private readonly after: Day
  private readonly was: ReadonlyMap<string, Promised>
  private readonly event: ShiftEvent | null
  private readonly bindings: Bindings

  constructor(after: Day, was: ReadonlyMap<string, Promised>, event: ShiftEvent | null) {
    this.after = after
    this.was = was
    this.event = event
    this.bindings = new Bindings(after)
  }

  of(visit: string, kind: ChangeKind, from: Promised | null, to: Promised | null): ChangeReason {
    if (kind === 'cancelled') return { kind: 'cancelled' }
    const direct = this.direct(visit, from)
    if (direct !== null) return direct
    if (to === null) return { kind: 'no-room' }
    return kind === 'later' || kind === 'other-therapist' ? this.heldBack(visit) : { kind: 'rearranged' }
  }

  private direct(visit: string, from: Promised | null): ChangeReason | null {
    const { event, after } = this
    if (event === null) return null
    if (event.type === 'new-visit' && event.visit.id === visit) return { kind: 'new-visit' }
    if (event.type === 'overrun' && event.visit === visit) return { kind: 'overrun' }
    if (event.type === 'therapist-leaves' && from?.therapist === event.therapist)
      return { kind: 'therapist-left', therapist: event.therapist }
    const patient = after.shift.visits.find((item) => item.id === visit)?.patient
    const meets = event.type === 'patient-away' && event.patient === patient && from !== null
    return meets && from.start < event.until && this.endOf(visit, from) > event.from
      ? { kind: 'patient-away', until: event.until }
      : null
  }

  private endOf(visit: string, from: Promised): number {
    return from.start + (this.after.shift.visits.find((item) => item.id === visit)?.duration ?? 0)
  }

  private heldBack(visit: string): ChangeReason {
    const k = this.after.schedule.findIndex(({ stops }) => stops.some((stop) => stop.visit === visit))
    const stops = this.after.schedule[k]?.stops ?? []
    const binding = this.bindings.of(
      k,
      stops.findIndex((stop) => stop.visit === visit),
    )
    if (binding.kind === 'gap') return { kind: 'gap-after', visit: binding.visit }
    if (binding.kind === 'stop-before' && binding.stop.visit !== null) {
      const moved = this.was.get(binding.stop.visit)?.start !== binding.stop.start
      if (moved || this.isOverrun(binding.stop.visit)) return { kind: 'follows', visit: binding.stop.visit }
    }
    return { kind: 'rearranged' }
  }

  private isOverrun(visit: string): boolean {
    return this.event?.type === 'overrun' && this.event.visit === visit
  }
}
