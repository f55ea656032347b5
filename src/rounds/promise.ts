import { Bindings } from './binding.ts'
import { doseOrder } from './compile.ts'
import type { Day } from './day.ts'
import type { Visit } from './model.ts'

/** Who gives a visit, and when. */
export type Promised = { readonly therapist: string; readonly start: number }

export type ChangeKind = 'later' | 'earlier' | 'other-therapist' | 'added' | 'left-out' | 'cancelled'

/** Why a promise changed: what became known, something it pushed, a person's word, or an exchange that pays elsewhere. */
export type ChangeReason =
  | { readonly kind: 'new-visit' | 'cancelled' | 'overrun' | 'decision' }
  | { readonly kind: 'patient-away'; readonly until: number }
  | { readonly kind: 'therapist-left'; readonly therapist: string }
  | { readonly kind: 'follows'; readonly visit: string }
  | { readonly kind: 'gap-after'; readonly visit: string }
  /** Left out: after (or before) that dose of the same patient its window leaves no time. */
  | { readonly kind: 'gap-closed'; readonly visit: string }
  | { readonly kind: 'no-room' }
  | { readonly kind: 'rearranged' }

/** One promise that is not kept as it was shown. */
export type PromiseChange = {
  readonly visit: string
  readonly kind: ChangeKind
  readonly from: Promised | null
  readonly to: Promised | null
  readonly reason: ChangeReason
  /** Whom to tell: the patient, the unit that expects the visit, and the therapists who had it or have it now. */
  readonly concerns: {
    readonly patient: string
    readonly unit: string
    readonly therapists: readonly string[]
  }
}

/**
 * Everything that differs from what was promised: another therapist, a start moved by more than the tolerance, visits
 * added, left out or cancelled; each with its reason and whom it concerns.
 */
export function promiseChanges(before: Day, after: Day): PromiseChange[] {
  const was = startsOf(before)
  const now = startsOf(after)
  const reasons = new Reasons(before, after, was, now)
  const visits = new Map([...before.shift.visits, ...after.shift.visits].map((visit) => [visit.id, visit]))
  const known = new Set(before.shift.visits.map((visit) => visit.id))
  const still = new Set(after.shift.visits.map((visit) => visit.id))
  const units = new Map(
    [...before.shift.patients, ...after.shift.patients].map((item) => [item.id, item.unit]),
  )
  const tolerance = after.shift.weights.promiseTolerance
  return [...visits.values()].flatMap(({ id, patient }): PromiseChange[] => {
    const from = was.get(id) ?? null
    const to = now.get(id) ?? null
    const kind = still.has(id) ? kindOf(from, to, tolerance, !known.has(id)) : 'cancelled'
    if (kind === null) return []
    const therapists = [...new Set([from, to].flatMap((item) => (item === null ? [] : [item.therapist])))]
    const concerns = { patient, unit: units.get(patient) ?? '', therapists }
    return [{ visit: id, kind, from, to, reason: reasons.of(id, kind, from, to), concerns }]
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

/** Finds why: first what became known between the two days, then what holds the visit back in the new plan. */
class Reasons {
  private readonly before: Day
  private readonly after: Day
  private readonly was: ReadonlyMap<string, Promised>
  private readonly now: ReadonlyMap<string, Promised>
  private readonly bindings: Bindings
  private readonly oldVisits: ReadonlyMap<string, Visit>
  private readonly visits: ReadonlyMap<string, Visit>

  constructor(
    before: Day,
    after: Day,
    was: ReadonlyMap<string, Promised>,
    now: ReadonlyMap<string, Promised>,
  ) {
    this.before = before
    this.after = after
    this.was = was
    this.now = now
    this.bindings = new Bindings(after)
    this.oldVisits = new Map(before.shift.visits.map((visit) => [visit.id, visit]))
    this.visits = new Map(after.shift.visits.map((visit) => [visit.id, visit]))
  }

  of(id: string, kind: ChangeKind, from: Promised | null, to: Promised | null): ChangeReason {
    const visit = this.visits.get(id)
    if (kind === 'cancelled' || visit === undefined) return { kind: 'cancelled' }
    const direct = this.known(visit, from)
    if (to === null) return this.closedBy(visit) ?? direct ?? { kind: 'no-room' }
    if (direct !== null) return direct
    return kind === 'later' || kind === 'other-therapist' ? this.heldBack(id) : { kind: 'rearranged' }
  }

  private known(visit: Visit, from: Promised | null): ChangeReason | null {
    const { before, after } = this
    if (after.pins.some((pin) => pin.visit === visit.id && !before.pins.includes(pin)))
      return { kind: 'decision' }
    if (!this.oldVisits.has(visit.id)) return { kind: 'new-visit' }
    if (this.grew(visit.id)) return { kind: 'overrun' }
    if (from === null) return null
    if (after.gone.includes(from.therapist) && !before.gone.includes(from.therapist))
      return { kind: 'therapist-left', therapist: from.therapist }
    if (this.goesHomeBefore(visit, from)) return { kind: 'therapist-left', therapist: from.therapist }
    const meets = after.away.find(
      (away) =>
        !before.away.includes(away) &&
        away.patient === visit.patient &&
        from.start < away.until &&
        from.start + visit.duration > away.from,
    )
    return meets === undefined ? null : { kind: 'patient-away', until: meets.until }
  }

  /** She was to be there until the visit was over, and now goes home before. */
  private goesHomeBefore({ duration }: Visit, { therapist, start }: Promised): boolean {
    const endIn = ({ shift }: Day) => shift.therapists.find(({ id }) => id === therapist)?.end.time ?? 0
    const over = start + duration
    return endIn(this.before) >= over && endIn(this.after) < over
  }

  private closedBy(visit: Visit): ChangeReason | null {
    const gap = this.after.shift.patients.find((item) => item.id === visit.patient)?.minGap ?? 0
    const doses = doseOrder(this.after.shift.visits.filter((item) => item.patient === visit.patient))
    const place = doses.findIndex((item) => item.id === visit.id)
    const closing = doses.find((dose, i) => {
      const start = this.now.get(dose.id)?.start
      if (start === undefined) return false
      return i < place ? start + gap > visit.latest : start - gap < visit.earliest
    })
    return closing === undefined ? null : { kind: 'gap-closed', visit: closing.id }
  }

  private heldBack(visit: string): ChangeReason {
    const k = this.after.schedule.findIndex(({ stops }) => stops.some((stop) => stop.visit === visit))
    const stops = this.after.schedule[k]?.stops ?? []
    const index = stops.findIndex((stop) => stop.visit === visit)
    const binding = this.bindings.of(k, index)
    if (binding.kind === 'gap') return { kind: 'gap-after', visit: binding.visit }
    if (binding.kind === 'stop-before' && binding.stop.visit !== null) {
      const moved = this.was.get(binding.stop.visit)?.start !== binding.stop.start
      if (moved || this.grew(binding.stop.visit)) return { kind: 'follows', visit: binding.stop.visit }
    }
    return { kind: 'rearranged' }
  }

  private grew(visit: string): boolean {
    const old = this.oldVisits.get(visit)
    return old !== undefined && (this.visits.get(visit)?.duration ?? 0) > old.duration
  }
}
