import { type OnTimeChance, onTimeChances } from '../../rounds/chance/chance.ts'
import { type Day, Places } from '../../rounds/day.ts'
import type { PromiseChange } from '../../rounds/promise.ts'
import { changePicture, reasonWords } from './change-picture.ts'
import type { ColumnPicture } from './column-picture.ts'
import { capital, counted, hoursText, inWords } from './in-words.ts'
import type { PeopleHour, PlanPicture, RoundPicture } from './plan-picture.ts'
import type { PlanningBase } from './planning-base.ts'
import type { StopPicture } from './stop-picture.ts'
import { type Drawn, stopsPicture } from './stops-picture.ts'

/** A plan to be drawn: its day, its price, and how it differs from what was promised. */
export type ToDraw = {
  readonly day: Day
  readonly dropped: readonly string[]
  readonly changes: readonly PromiseChange[]
  readonly nearness: string
  readonly overloads: readonly string[]
}

const SAMPLES = 200
const SEED = 1
const HOUR = 60

/** A plan in words and positions. */
export function drawPlan(base: PlanningBase, plan: ToDraw): PlanPicture {
  const { day } = plan
  const drawn: Drawn = {
    base: { ...base, day },
    schedule: day.schedule,
    chances: chancesOf(base, day),
    pinned: new Set(day.pins.map(({ visit }) => visit)),
  }
  const rounds = day.shift.therapists.map((_, k) => roundPicture(drawn, k))
  return {
    shiftId: base.shiftId,
    from: base.from,
    to: base.to,
    now: base.now,
    standing: standingOf(base, plan),
    standingWords: base.givenOut ?? 'Not given out yet.',
    planId: base.planId,
    pinsApart: base.pinsApart,
    log: base.log,
    since: base.since.map(({ words }) => words),
    givenUp: givenUp(base, plan),
    nearness: plan.nearness,
    overloads: plan.overloads,
    sentence: promise(rounds.flatMap(({ stops }) => stops)),
    rounds,
    columns: day.shift.therapists.map((_, k) => columnPicture(drawn, rounds[k]?.stops ?? [], k)),
    hours: peopleHours(drawn),
    changes: plan.changes.map((change) => changePicture(base, change)),
    units: base.units,
    remarks: base.remarks,
  }
}

function chancesOf(base: PlanningBase, day: Day): ReadonlyMap<string, OnTimeChance> {
  const done = day.schedule.map(({ stops }, k) => {
    const begun = new Set((base.begun[k] ?? []).map(({ visit }) => visit))
    return stops.filter(({ visit }) => begun.has(visit)).length
  })
  const options = { samples: SAMPLES, seed: SEED, scatter: base.scatter }
  return new Map(onTimeChances(day, base.now, done, options).map((chance) => [chance.visit, chance]))
}

function standingOf(base: PlanningBase, { changes }: ToDraw): PlanPicture['standing'] {
  if (base.contested) return 'two plans'
  if (base.givenOut === null) return 'not given out'
  return changes.length > 0 ? 'differs' : 'given out'
}

/** What is left out, the most urgent first. */
function givenUp(base: PlanningBase, { day, dropped, changes }: ToDraw): string[] {
  const places = new Places(day.shift)
  return dropped
    .map((id) => places.visit(id))
    .sort((a, b) => a.priority - b.priority || a.due - b.due)
    .map((visit) => {
      const stay = base.stays.get(visit.id)
      const who = stay ? `${stay.place}, ${stay.who}: ${stay.what}` : visit.id
      const reason = changes.find((change) => change.visit === visit.id)?.reason
      const why = reason ? `: ${reasonWords({ ...base, day }, reason)}` : ''
      return `${who}, due ${base.clock(visit.due)}, to begin by ${base.clock(visit.latest)}${why}`
    })
}

function roundPicture(drawn: Drawn, k: number): RoundPicture {
  const { base } = drawn
  const therapist = base.day.shift.therapists[k]
  const stops = stopsPicture(drawn, k)
  const last = drawn.schedule[k]?.stops.at(-1)
  const personId = therapist?.id ?? ''
  return {
    personId,
    name: base.nameOf(personId),
    sentence: promise(stops),
    stops,
    endWords: last ? `The last visit ends about ${base.clock(last.end)}.` : 'Nothing is planned.',
    startUnit: therapist?.start.unit ?? '',
  }
}

/** "Fourteen visits left. Thirteen on time, one eight minutes late." */
export function promise(stops: readonly StopPicture[]): string {
  const visits = stops.filter(({ kind }) => kind === 'visit')
  const late = visits.filter(({ state }) => state === 'late')
  const tight = visits.filter(({ state }) => state === 'tight').length
  if (visits.length === 0) return 'Nothing left to visit.'
  const left = `${capital(counted(visits.length, 'visit'))} left.`
  const onTime = visits.length - late.length
  const parts = [
    late.length === 0 ? 'all on time' : `${inWords(onTime)} on time`,
    ...(late.length === 1
      ? [`one ${late[0]?.words}`]
      : late.length > 1
        ? [`${inWords(late.length)} late`]
        : []),
    ...(tight > 0 ? [`${inWords(tight)} of them tight`] : []),
  ]
  const order = late.length > 0 && tight > 0 ? [parts[0], parts[2], parts[1]] : parts
  return `${left} ${capital(order.join(', '))}.`
}

function columnPicture(drawn: Drawn, stops: readonly StopPicture[], k: number): ColumnPicture {
  const { base, schedule } = drawn
  const { shift } = base.day
  const therapist = shift.therapists[k]
  const id = therapist?.id ?? ''
  const [from, until] = [therapist?.start.time ?? 0, therapist?.end.time ?? 0]
  const shown = new Map(stops.map((stop) => [stop.kind === 'break' ? 'break' : stop.id, stop]))
  const late = stops.filter(({ state }) => state === 'late').length
  const visits = stops.filter(({ kind }) => kind === 'visit').length
  const all = schedule[k]?.stops ?? []
  const gone = base.day.gone.includes(id)
  const words = `${visits} visit${visits === 1 ? '' : 's'} left${late > 0 ? `, ${late} late` : ''}`
  return {
    id,
    name: base.nameOf(id),
    words: gone ? 'has left' : words,
    loadWords: `${hoursText(schedule[k]?.load ?? 0)} of ${hoursText(until - from)}`,
    from,
    until,
    late,
    hours: hoursOf(shift.horizon).map((hour) =>
      hour + HOUR <= from || hour >= until ? null : busyIn(all, hour) / HOUR,
    ),
    stops: all.flatMap((stop) => {
      const picture = shown.get(stop.visit ?? 'break')
      if (!picture) return []
      return [
        {
          id: picture.id,
          kind: picture.kind,
          from: stop.start,
          until: stop.end,
          label: [picture.place, picture.who].filter(Boolean).join(', '),
          remark: picture.state === 'on time' ? '' : picture.words,
          state: picture.state,
          spoken: `${picture.at} ${picture.place}, ${picture.who}, ${picture.what}, ${picture.spoken}${picture.pinned ? ', pinned' : ''}`,
          pinned: picture.pinned,
          movable: picture.movable,
        },
      ]
    }),
  }
}

const hoursOf = (horizon: number): number[] =>
  Array.from({ length: Math.ceil(horizon / HOUR) }, (_, i) => i * HOUR)

function busyIn(stops: readonly { readonly start: number; readonly end: number }[], hour: number): number {
  return stops.reduce(
    (sum, { start, end }) => sum + Math.max(0, Math.min(end, hour + HOUR) - Math.max(start, hour)),
    0,
  )
}

/** Hands at work and hands that are there, hour by hour. */
export function peopleHours({ base, schedule }: Pick<Drawn, 'base' | 'schedule'>): PeopleHour[] {
  const { shift, gone } = base.day
  return hoursOf(shift.horizon).map((hour) => ({
    from: base.clock(hour),
    busy: schedule.reduce((sum, { stops }) => sum + busyIn(stops, hour), 0) / HOUR,
    present:
      shift.therapists
        .filter(({ id }) => !gone.includes(id))
        .reduce(
          (sum, { start, end }) =>
            sum + Math.max(0, Math.min(end.time, hour + HOUR) - Math.max(start.time, hour)),
          0,
        ) / HOUR,
    atLeast: null,
  }))
}
