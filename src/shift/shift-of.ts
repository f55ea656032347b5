import type { DocumentsInForce } from '../chart/documents/documents-in-force.ts'
import { zoneOf } from '../chart/timing/zone.ts'
import type { PromisedVisit, Shift, Visit } from '../rounds/index.ts'
import type { CrewMember } from './crew.ts'
import type { Kept } from './promised.ts'
import { minuteIn, type ShiftSpan } from './shift-span.ts'
import type { DoneStay, Stay } from './stay.ts'
import type { Ways } from './ways.ts'
import { weightsOf } from './weights.ts'

export type ShiftParts = {
  readonly span: ShiftSpan
  readonly documents: DocumentsInForce['documents']
  readonly ways: Ways
  readonly crew: readonly CrewMember[]
  readonly stays: readonly Stay[]
  readonly done: readonly DoneStay[]
  readonly kept: readonly Kept[]
}

/** The shift in the published planning format: places, people, patients, visits, weights and what was promised. */
export function shiftOf(parts: ShiftParts): Shift {
  const { span, documents, ways, crew, stays } = parts
  const base = baseOf(documents, ways)
  const places = placesOf(ways)
  const zone = zoneOf(documents.site.content.timeZone)
  const { minute } = zone.wallAt(Date.parse(span.from))
  const done = parts.done.filter(({ personId }) => crew.some((person) => person.personId === personId))
  return {
    name: span.shiftId,
    format: 'hospital-shift-1',
    clockStart: `${two(Math.floor(minute / 60))}:${two(minute % 60)}`,
    horizon: minuteIn(span, span.to),
    units: places.map(({ id, floor }) => ({ id, floor })),
    travel: ways.minutesBetween(places.map(({ id }) => id)),
    roomChange: roomChange(stays, documents),
    therapists: crew.map((person) => ({
      id: person.personId,
      start: { unit: base, time: person.start },
      end: { unit: base, time: person.end },
      break: person.break === null ? null : { unit: base, ...person.break },
      skills: skillNames(stays).filter((skill) =>
        partsOfSkill(skill).every((each) => person.skills.includes(each)),
      ),
    })),
    patients: patientsOf(stays, done, documents),
    visits: [
      ...done.map((stay) => doneVisit(stay, stays, span)),
      ...stays.map((stay) => visitOf(stay, span)),
    ],
    weights: weightsOf(documents['planning-policy'].content),
    previousPlan: promisesOf(parts.kept, stays, crew, span),
    events: [],
  }
}

/** Where therapists start, rest and end: the base unit's place on the map. */
export function baseOf({ units }: ShiftParts['documents'], ways: Ways): string {
  const base = ways.placeOf(units.content.base, '')
  if (base === null) throw new RangeError(`the base ${units.content.base} is not on the map`)
  return base
}

/** The places where beds or the base are entered. */
function placesOf({ map }: Ways) {
  const apart = new Set(map.rooms.map(({ place }) => place))
  return map.places.filter(({ id, unit }) => unit !== null || apart.has(id))
}

/** One figure for all units, as the planning format has it: the longest among those with somebody to visit. */
function roomChange(stays: readonly Stay[], { units }: ShiftParts['documents']): number {
  const visited = new Set(stays.map(({ unit }) => unit))
  return Math.max(
    0,
    ...units.content.units.filter(({ id }) => visited.has(id)).map((unit) => unit.minutesBetweenRooms),
  )
}

const JOINED = ' and '
const skillOf = ({ skillsNeeded }: Stay) => (skillsNeeded.length === 0 ? null : skillsNeeded.join(JOINED))
const partsOfSkill = (skill: string) => skill.split(JOINED)

/** The planning format knows one skill a visit: several needed together are one of their own. */
function skillNames(stays: readonly Stay[]): string[] {
  return [...new Set(stays.flatMap((stay) => skillOf(stay) ?? []))].sort()
}

function patientsOf(
  stays: readonly Stay[],
  done: readonly DoneStay[],
  documents: ShiftParts['documents'],
): Shift['patients'] {
  const patients = new Map<string, Shift['patients'][number]>()
  for (const { group, at, category } of stays) {
    const minGap = gapOf(stays.filter((stay) => stay.group === group))
    patients.set(group, { id: group, unit: at, isolation: isolationOf(category, documents), minGap })
  }
  for (const { group, at } of done)
    if (!patients.has(group)) patients.set(group, { id: group, unit: at, isolation: 'none', minGap: 0 })
  return [...patients.values()].sort((a, b) => (a.id < b.id ? -1 : 1))
}

/** The longest gap of a group's doses. A call is for the same medicine at its own: while one is open the shorter counts. */
function gapOf(group: readonly Stay[]): number {
  const isCall = ({ doses }: Stay) => doses.some(({ callId }) => callId !== null)
  const longest = (stays: readonly Stay[]) => Math.max(0, ...stays.map(({ gapMinutes }) => gapMinutes))
  const [called, scheduled] = [group.filter(isCall), group.filter((stay) => !isCall(stay))]
  if (called.length === 0 || scheduled.length === 0) return longest(group)
  return Math.min(longest(called), longest(scheduled))
}

/** The planner's kinds of isolation by the rank that the department gives a category. */
function isolationOf(
  category: string,
  { isolation }: ShiftParts['documents'],
): Shift['patients'][number]['isolation'] {
  const rank = isolation.content.categories.find(({ code }) => code === category)?.roundRank ?? 1
  return (['protective', 'none', 'contact'] as const)[rank] ?? 'airborne'
}

function visitOf(stay: Stay, span: ShiftSpan): Visit {
  const earliest = Math.max(0, minuteIn(span, stay.window.earliest, Math.ceil))
  const onTimeUntil = Math.max(earliest, minuteIn(span, stay.window.onTimeUntil, Math.floor))
  return {
    id: stay.visit,
    patient: stay.group,
    kind: stay.finishes === null ? (stay.doses[0]?.callId === null ? 'scheduled' : 'call') : 'finish',
    priority: stay.priority,
    skill: skillOf(stay),
    due: minuteIn(span, stay.dueAt),
    earliest,
    onTimeUntil,
    latest: Math.max(onTimeUntil, minuteIn(span, stay.window.latest, Math.floor)),
    duration: stay.minutes.total,
  }
}

/** What is done keeps its time, and comes before everything of the same patient that is still open. */
function doneVisit(stay: DoneStay, stays: readonly Stay[], span: ShiftSpan): Visit {
  const start = Math.max(0, minuteIn(span, stay.startAt, Math.floor))
  const open = stays.filter(({ group }) => group === stay.group).map(({ dueAt }) => minuteIn(span, dueAt))
  return {
    id: stay.visit,
    patient: stay.group,
    kind: stay.status,
    priority: 4,
    skill: null,
    due: Math.min(start, ...open.map((due) => due - 1)),
    earliest: start,
    onTimeUntil: start,
    latest: start,
    duration: Math.max(0, minuteIn(span, stay.endAt, Math.ceil) - start),
  }
}

function promisesOf(
  kept: readonly Kept[],
  stays: readonly Stay[],
  crew: readonly CrewMember[],
  span: ShiftSpan,
): PromisedVisit[] | null {
  if (kept.length === 0) return null
  const open = new Set(stays.map(({ visit }) => visit))
  return kept
    .filter(({ personId }) => crew.some((person) => person.personId === personId))
    .flatMap(({ personId, stops }) =>
      stops.flatMap(({ visit, startAt }) =>
        visit !== null && open.has(visit)
          ? [{ visit, therapist: personId, start: minuteIn(span, startAt) }]
          : [],
      ),
    )
}

const two = (value: number) => String(value).padStart(2, '0')
