import type { OnTimeChance } from '../../rounds/chance/chance.ts'
import { Places } from '../../rounds/day.ts'
import type { TherapistSchedule } from '../../rounds/evaluate.ts'
import type { Therapist, Visit } from '../../rounds/model.ts'
import { type Spot, type Stop, walkMinutes } from '../../rounds/standing.ts'
import type { PlanningBase, Stay } from './planning-base.ts'
import type { StopPicture } from './stop-picture.ts'

/** What a plan's pictures are drawn from: the base, the plan's times, and the chances of being on time. */
export type Drawn = {
  readonly base: PlanningBase
  readonly schedule: readonly TherapistSchedule[]
  readonly chances: ReadonlyMap<string, OnTimeChance>
  readonly pinned: ReadonlySet<string>
}

/** Minutes before and after a window that its bracket is drawn with. */
const AROUND = 15
/** How long the dotted tail of a window is drawn at most. */
const TAIL = 90

/** One therapist's stops that are still to come or under way, each in words and positions. */
export function stopsPicture(drawn: Drawn, k: number): StopPicture[] {
  const { base, schedule } = drawn
  const { shift } = base.day
  const therapist = shift.therapists[k]
  if (!therapist) return []
  const places = new Places(shift)
  const begun = base.begun[k] ?? []
  let spot = places.unit(therapist.start.unit)
  let free = therapist.start.time
  let isFirst = true
  return (schedule[k]?.stops ?? []).flatMap((stop) => {
    const to = places.of(stop, therapist)
    const walk = walkMinutes(shift, spot, to)
    const way = {
      walk,
      wait: Math.max(0, stop.start - Math.max(free, base.now) - walk),
      floors: floorsOf(base, spot, to),
    }
    spot = to
    free = stop.end
    if (stop.end <= base.now && begun.some(({ visit }) => visit === stop.visit)) return []
    const isNext = isFirst && stop.visit !== null
    if (stop.visit !== null) isFirst = false
    const isBegun = begun.some(({ visit }) => visit === stop.visit)
    return stop.visit === null
      ? [breakPicture(drawn, therapist, stop, way)]
      : [visitPicture(drawn, places.visit(stop.visit), stop, way, { isNext, isBegun, unit: to.unit })]
  })
}

type WayThere = { readonly walk: number; readonly wait: number; readonly floors: number }

function floorsOf({ day, units }: PlanningBase, from: Spot, to: Spot): number {
  const floor = (spot: Spot) => {
    const id = day.shift.units[spot.unit]?.id
    return units.find((unit) => unit.id === id)?.floor ?? day.shift.units[spot.unit]?.floor ?? 0
  }
  return floor(to) - floor(from)
}

/** "3 min walk, up 2 floors, then 10 min to spare". */
function wayWords({ walk, wait, floors }: WayThere): string {
  const way = walk === 0 ? 'same room' : `${walk} min walk`
  const level = floors === 0 ? '' : `, ${floors > 0 ? 'up' : 'down'} ${Math.abs(floors)}`
  return `${way}${level}${wait >= 3 ? ` · ${wait} min to spare` : ''}`
}

function visitPicture(
  { base, chances, pinned }: Drawn,
  visit: Visit,
  stop: Stop,
  way: WayThere,
  { isNext, isBegun, unit }: { readonly isNext: boolean; readonly isBegun: boolean; readonly unit: number },
): StopPicture {
  const stay = base.stays.get(visit.id)
  const chance = chances.get(visit.id) ?? null
  const { state, words } = howItStands(base, visit, stop, isBegun, chance)
  const lastAt = Math.min(visit.latest, visit.onTimeUntil + TAIL)
  const high = Math.max(stop.start, chance?.start90 ?? stop.start)
  const { clock } = base
  return {
    id: visit.id,
    kind: 'visit',
    at: clock(stop.start),
    walkMinutes: way.walk,
    wayWords: isBegun ? 'begun' : wayWords(way),
    place: stay?.place ?? visit.patient,
    who: stay?.who ?? '',
    what: stay?.what ?? visit.kind,
    how: stay?.how ?? '',
    state,
    words,
    spoken: `planned ${clock(stop.start)}, window ${clock(visit.earliest)} to ${clock(visit.onTimeUntil)}, ${words}`,
    dose: doseOf(stay),
    unit: base.day.shift.units[unit]?.id ?? null,
    window: {
      scale: { from: Math.min(visit.earliest, stop.start) - AROUND, to: Math.max(lastAt, high) + AROUND },
      opens: visit.earliest,
      closes: visit.onTimeUntil,
      lastAt,
      arrival: { low: Math.min(stop.start, chance?.medianStart ?? stop.start), likely: stop.start, high },
    },
    isNext,
    begun: isBegun,
    pinned: pinned.has(visit.id),
    movable: !isBegun && stop.start >= base.now + base.freezeMinutes,
  }
}

function doseOf(stay: Stay | undefined): StopPicture['dose'] {
  const dose = stay?.doses[0]
  return stay && dose ? { orderId: dose.orderId, doseAt: dose.doseAt, patientId: stay.patientId } : null
}

function howItStands(
  base: PlanningBase,
  visit: Visit,
  stop: Stop,
  isBegun: boolean,
  chance: OnTimeChance | null,
): { readonly state: StopPicture['state']; readonly words: string } {
  const late = stop.start - visit.onTimeUntil
  if (late > 0) return { state: 'late', words: `${late} min late` }
  if (isBegun) return { state: 'on time', words: 'under way' }
  if (chance === null) return { state: 'on time', words: 'on time' }
  const hundred = Math.round(chance.chance * 100)
  return chance.chance < base.tightBelow
    ? { state: 'tight', words: `${hundred} in 100, tight` }
    : { state: 'on time', words: `${hundred} in 100 on time` }
}

function breakPicture({ base }: Drawn, therapist: Therapist, stop: Stop, way: WayThere): StopPicture {
  const unit = therapist.break?.unit ?? therapist.start.unit
  const latest = therapist.break?.latest
  return {
    id: `break ${therapist.id}`,
    kind: 'break',
    at: base.clock(stop.start),
    walkMinutes: way.walk,
    wayWords: wayWords(way),
    place: 'Break',
    who: base.units.find(({ id }) => id === unit)?.name ?? '',
    what: '',
    how: '',
    state: 'on time',
    words: `${stop.end - stop.start} min${latest === undefined ? '' : `, to begin by ${base.clock(latest)}`}`,
    spoken: '',
    dose: null,
    unit,
    window: null,
    isNext: false,
    begun: false,
    pinned: false,
    movable: true,
  }
}
