import type { Day } from '../../src/rounds/day.ts'

/**
 * Checks and prices a day under way from its stops alone, rule by rule in the plainest way. Shares no code with the
 * planner (only its types).
 */

type Shift = Day['shift']
const RANK: Readonly<Record<string, number>> = { protective: 0, none: 1, droplet: 2, contact: 2, airborne: 3 }

export type DayCheck = {
  readonly broken: readonly string[]
  readonly parts: Readonly<Record<string, number>>
  readonly total: number
}

/** `ranOver`: therapists whose visits took longer than planned may come home late and rest late. */
export function checkDay(day: Day, now: number, ranOver: ReadonlySet<string> = new Set()): DayCheck {
  const { shift } = day
  const broken: string[] = []
  const walked = shift.therapists.map((_, k) => checkTherapist(day, k, now, ranOver, broken))
  checkGaps(day, broken)
  checkAway(day, now, broken)
  const stops = day.schedule.flatMap((item) => item.stops.map((stop) => ({ ...stop, by: item.therapist })))
  const given = stops.filter((stop) => stop.visit !== null)
  if (new Set(given.map((stop) => stop.visit)).size !== given.length) broken.push('a visit is given twice')
  const weight = shift.weights
  const sum = (values: readonly number[]) => values.reduce((total, value) => total + value, 0)
  const parts = {
    drop: sum(
      shift.visits
        .filter((visit) => !given.some((stop) => stop.visit === visit.id))
        .map((visit) => weight.drop[visit.priority - 1] as number),
    ),
    late: sum(
      given.map((stop) => {
        const visit = visitOf(shift, stop.visit)
        return (
          (weight.latePerMinute[visit.priority - 1] as number) * Math.max(0, stop.start - visit.onTimeUntil)
        )
      }),
    ),
    isolation: sum(walked.map((item) => item.isolation)),
    handover:
      weight.handover *
      sum(
        shift.patients.map((patient) => {
          const by = new Set(
            given.filter((s) => visitOf(shift, s.visit).patient === patient.id).map((s) => s.by),
          )
          return Math.max(0, by.size - 1)
        }),
      ),
    walk: weight.walk * sum(walked.map((item) => item.walk)),
    maxLoad: weight.maxLoad * Math.max(0, ...walked.map((item) => item.walk + item.bedside)),
  }
  return { broken, parts, total: sum(Object.values(parts)) }
}

const visitOf = (shift: Shift, id: string | null) =>
  shift.visits.find((visit) => visit.id === id) as Shift['visits'][number]
const patientOf = (shift: Shift, id: string | null) =>
  shift.patients.find((patient) => patient.id === visitOf(shift, id).patient) as Shift['patients'][number]

function checkTherapist(
  day: Day,
  k: number,
  now: number,
  ranOver: ReadonlySet<string>,
  broken: string[],
): { walk: number; bedside: number; isolation: number } {
  const { shift } = day
  const therapist = shift.therapists[k] as Shift['therapists'][number]
  const item = day.schedule[k]
  if (item?.therapist !== therapist.id) broken.push(`the plan of ${therapist.id} is not in its place`)
  const unit = (id: string) => shift.units.findIndex((one) => one.id === id)
  const gone = day.gone.includes(therapist.id)
  let place = { unit: therapist.start.unit, patient: null as string | null }
  let free = therapist.start.time
  let walk = 0
  let bedside = 0
  let isolation = 0
  let rank = 0
  let rests = 0
  for (const stop of item?.stops ?? []) {
    const to =
      stop.visit === null
        ? { unit: therapist.break?.unit ?? '', patient: null }
        : { unit: patientOf(shift, stop.visit).unit, patient: patientOf(shift, stop.visit).id }
    const way =
      place.unit !== to.unit
        ? (shift.travel[unit(place.unit)]?.[unit(to.unit)] as number)
        : place.patient === null || to.patient === null || place.patient === to.patient
          ? 0
          : shift.roomChange
    if (stop.start < free + way) broken.push(`${therapist.id} is at ${stop.visit} before she can be`)
    if (gone && stop.start > now) broken.push(`${therapist.id} has left and starts ${stop.visit}`)
    if (stop.visit === null) {
      rests++
      rank = 0
      const late = stop.start > (therapist.break?.latest ?? 0) && !ranOver.has(therapist.id)
      if (late || stop.start < (therapist.break?.earliest ?? 0))
        broken.push(`${therapist.id} rests at a wrong time`)
    } else {
      const visit = visitOf(shift, stop.visit)
      if (stop.start < visit.earliest || stop.start > visit.latest)
        broken.push(`${visit.id} is out of its window`)
      if (stop.end - stop.start !== visit.duration) broken.push(`${visit.id} has a wrong length`)
      if (visit.skill !== null && !therapist.skills.includes(visit.skill))
        broken.push(`${therapist.id} may not give ${visit.id}`)
      const next = RANK[patientOf(shift, stop.visit).isolation] as number
      isolation += shift.weights.isolation[rank]?.[next] as number
      rank = next
      bedside += stop.end - stop.start
    }
    walk += way
    free = stop.end
    place = to
  }
  const home =
    place.unit === therapist.end.unit
      ? 0
      : (shift.travel[unit(place.unit)]?.[unit(therapist.end.unit)] as number)
  walk += home
  if (free + home > therapist.end.time && !ranOver.has(therapist.id))
    broken.push(`${therapist.id} is home too late`)
  if (rests !== (therapist.break === null ? 0 : 1) && !gone)
    broken.push(`${therapist.id} rests ${rests} times`)
  return { walk, bedside, isolation }
}

function checkGaps(day: Day, broken: string[]): void {
  const { shift } = day
  const starts = day.schedule.flatMap((item) => item.stops).filter((stop) => stop.visit !== null)
  for (const a of starts)
    for (const b of starts) {
      const one = visitOf(shift, a.visit)
      const two = visitOf(shift, b.visit)
      if (a === b || one.patient !== two.patient) continue
      const before =
        one.due < two.due || (one.due === two.due && shift.visits.indexOf(one) < shift.visits.indexOf(two))
      if (before && b.start < a.start + patientOf(shift, a.visit).minGap)
        broken.push(`${two.id} comes too soon after ${one.id}`)
    }
}

function checkAway(day: Day, now: number, broken: string[]): void {
  for (const stop of day.schedule.flatMap((item) => item.stops)) {
    if (stop.visit === null || stop.start <= now) continue
    const { id } = patientOf(day.shift, stop.visit)
    if (day.away.some((away) => away.patient === id && stop.start < away.until && stop.end > away.from))
      broken.push(`${stop.visit} is given while the patient is away`)
  }
}
