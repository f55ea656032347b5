import type { DocumentsInForce } from '../chart/documents/documents-in-force.ts'
import type { Chart } from '../chart/folds/chart.ts'
import { earliestOf, latestOf, minutesAfter } from './instants.ts'
import type { LearnedTimes } from './learned-times.ts'
import type { OpenDose } from './open-doses.ts'
import { categoryOf } from './past-stay.ts'
import { expectedRun } from './set-up-forecast.ts'
import type { NotPlanned, Stay } from './stay.ts'
import { runMinutes, stayMinutes } from './stay-minutes.ts'
import type { Ways } from './ways.ts'

type Documents = DocumentsInForce['documents']
const MINUTE_MS = 60_000

export type Stays = { readonly stays: readonly Stay[]; readonly notPlanned: readonly NotPlanned[] }

/**
 * Doses to stays at the bedside. Doses of one patient that are due close together are given in one stay; the others
 * are kept apart: those that share a medicine by their gap, those that do not by windows that cannot overlap, since
 * nobody breathes from two cups at once.
 */
export function staysOf(
  doses: readonly OpenDose[],
  chart: Chart,
  documents: Documents,
  ways: Ways,
  learned: LearnedTimes,
  now: string,
): Stays {
  const stays: Stay[] = []
  const notPlanned: NotPlanned[] = []
  for (const [patientId, own] of byPatient(doses)) {
    const { place, isolation } = chart.patient(patientId)
    const at = place ? ways.placeOf(place.unit, place.room) : null
    if (!place || at === null) {
      const why = place
        ? ({ kind: 'place not on the map', unit: place.unit } as const)
        : ({ kind: 'place not known' } as const)
      notPlanned.push(
        ...own.map(({ orderId, title, doseAt }) => ({ patientId, orderId, title, doseAt, why })),
      )
      continue
    }
    const bed = {
      at,
      unit: place.unit,
      category: categoryOf(isolation, documents),
      skillsNeeded: skillsFor(place.unit, documents),
    }
    const groups = groupsOf(own)
    const made = together(own, groups, documents['planning-policy'].content.visits.togetherWithinMinutes).map(
      (share) => stayOf(share, groups, bed, chart, documents, learned, now),
    )
    stays.push(...keptApart(made, now))
  }
  return { stays, notPlanned }
}

function byPatient(doses: readonly OpenDose[]): Map<string, OpenDose[]> {
  const sorted = [...doses].sort(
    (a, b) => order(a.patientId, b.patientId) || order(a.dueAt, b.dueAt) || order(a.visit, b.visit),
  )
  const by = new Map<string, OpenDose[]>()
  for (const dose of sorted) by.set(dose.patientId, [...(by.get(dose.patientId) ?? []), dose])
  return by
}

function order(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0
}

function skillsFor(unit: string, { units, 'planning-policy': policy }: Documents): string[] {
  const needed = units.content.units.find(({ id }) => id === unit)?.skillsNeeded ?? []
  const assigned = policy.content.visits.assignedUnits === 'a rule' ? [assignedTo(unit)] : []
  return [...needed, ...assigned].sort()
}

/** How "assigned to this unit" is written among the skills when the policy makes it a rule. */
export function assignedTo(unit: string): string {
  return `assigned to ${unit}`
}

/** Orders that share a medicine, one through another, named by the first of them. */
function groupsOf(doses: readonly OpenDose[]): ReadonlyMap<string, string> {
  const group = new Map<string, string>()
  for (const { orderId } of doses) group.set(orderId, orderId)
  const merge = (a: string, b: string) => {
    const [first, second] = [group.get(a) ?? a, group.get(b) ?? b].sort() as [string, string]
    for (const [id, name] of group) if (name === second) group.set(id, first)
  }
  for (const dose of doses)
    for (const other of doses)
      if (dose.medicineIds.some((id) => other.medicineIds.includes(id))) merge(dose.orderId, other.orderId)
  return group
}

/** Doses of different groups due within so many minutes of the first share a stay. */
function together(
  doses: readonly OpenDose[],
  groups: ReadonlyMap<string, string>,
  withinMinutes: number,
): OpenDose[][] {
  const shares: OpenDose[][] = []
  for (const dose of doses) {
    const share = shares.find(
      (each) =>
        minutesBetween((each[0] as OpenDose).dueAt, dose.dueAt) <= withinMinutes &&
        each.every((other) => groups.get(other.orderId) !== groups.get(dose.orderId)) &&
        latestOf(...ends([...each, dose], 'earliest')) <= earliestOf(...ends([...each, dose], 'latest')),
    )
    if (share) share.push(dose)
    else shares.push([dose])
  }
  return shares
}

const minutesBetween = (a: string, b: string) => Math.abs(Date.parse(b) - Date.parse(a)) / MINUTE_MS

type End = keyof OpenDose['window']
const ends = (doses: readonly OpenDose[], end: End) =>
  doses.map(({ window }) => window[end]) as [string, ...string[]]

function stayOf(
  doses: readonly OpenDose[],
  groups: ReadonlyMap<string, string>,
  bed: Pick<Stay, 'at' | 'unit' | 'category' | 'skillsNeeded'>,
  chart: Chart,
  documents: Documents,
  learned: LearnedTimes,
  now: string,
): Stay {
  const first = leading(doses)
  const runs = doses.flatMap(({ orderId }) => {
    const found = chart.order(orderId)
    return found ? [runMinutes(expectedRun(chart, found, documents, now), learned, documents)] : []
  })
  const earliest = latestOf(...ends(doses, 'earliest'))
  const onTime = earliestOf(...ends(doses, 'onTimeUntil'))
  return {
    ...bed,
    visit: first.visit,
    patientId: first.patientId,
    group: `${first.patientId} ${groups.get(first.orderId)}`,
    doses: [first, ...doses.filter((dose) => dose !== first)].map(({ orderId, doseAt, callId, title }) => ({
      orderId,
      doseAt,
      callId,
      title,
    })),
    dueAt: first.dueAt,
    window: {
      earliest,
      onTimeUntil: latestOf(onTime, earliest),
      latest: earliestOf(...ends(doses, 'latest')),
    },
    finishes: null,
    priority: Math.min(...doses.map(({ priority }) => priority)) as Stay['priority'],
    gapMinutes: first.gapMinutes,
    minutes: stayMinutes(bed.category, runs, learned, documents),
    narrowed: doses.flatMap(({ heldBackBy }) =>
      heldBackBy ? [{ kind: 'gap since last' as const, ...heldBackBy }] : [],
    ),
  }
}

/** The dose that a stay is named by: the one given most often, which the next of its kind must keep a distance from. */
function leading(doses: readonly OpenDose[]): OpenDose {
  const often = ({ gapMinutes }: OpenDose) => (gapMinutes === 0 ? Number.POSITIVE_INFINITY : gapMinutes)
  return [...doses].sort(
    (a, b) => (often(a) < often(b) ? -1 : often(a) > often(b) ? 1 : 0) || order(a.orderId, b.orderId),
  )[0] as OpenDose
}

/** Stays of different groups get windows in which they cannot run at once. */
function keptApart(stays: readonly Stay[], now: string): Stay[] {
  const apart = [...stays].sort((a, b) => order(a.dueAt, b.dueAt))
  for (let i = 0; i < apart.length; i += 1)
    for (let j = i + 1; j < apart.length; j += 1) {
      const [first, second] = [apart[i] as Stay, apart[j] as Stay]
      if (first.group === second.group || after(first.window.latest, first) <= second.window.earliest)
        continue
      const cut = cutBetween(first, second, now)
      if (cut === null) continue
      apart[i] = narrowed(first, { latest: after(cut, first, -1) }, second)
      apart[j] = narrowed(second, { earliest: cut }, first)
    }
  return apart
}

function after(instant: string, { minutes }: Stay, sign: 1 | -1 = 1): string {
  return minutesAfter(instant, sign * minutes.total)
}

/** When the first must be over: as near the middle as both windows allow; null when they allow none. */
function cutBetween(first: Stay, second: Stay, now: string): string | null {
  const open = latestOf(first.window.earliest, now)
  const low = latestOf(after(open, first), second.window.earliest)
  const high = earliestOf(after(first.window.latest, first), second.window.latest)
  if (low > high) return null
  const middle = new Date((Date.parse(first.dueAt) + Date.parse(second.dueAt)) / 2).toISOString()
  const wanted = earliestOf(after(middle, first), second.dueAt)
  return latestOf(low, earliestOf(wanted, high))
}

function narrowed(stay: Stay, to: Partial<Stay['window']>, other: Stay): Stay {
  const window = { ...stay.window, ...to }
  const onTimeUntil = latestOf(window.earliest, earliestOf(window.onTimeUntil, window.latest))
  return {
    ...stay,
    window: { ...window, onTimeUntil },
    narrowed: [...stay.narrowed, { kind: 'other treatment', visit: other.visit }],
  }
}
