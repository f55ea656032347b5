import type { z } from 'zod'
import { type Shift, shiftSchema, type Therapist } from './model.ts'

/** What can be wrong with a shift, by name. */
export type FindingKind =
  | 'not-the-format'
  | 'unknown-id'
  | 'repeated-id'
  | 'negative-number'
  | 'travel-not-square'
  | 'window-out-of-order'
  | 'shift-ends-before-it-starts'
  | 'no-therapist-with-skill'
  | 'no-time-for-visit'
  | 'break-outside-shift'
  | 'triangle-broken'
  | 'gap-longer-than-shift'
  | 'no-therapists'
  | 'weights-out-of-order'

/**
 * One thing found wrong. `refused`: no plan is made until it is put right. `assumed`: a plan is made under the
 * assumption that is spelled out; nothing is left out without being counted.
 */
export type Finding = {
  readonly kind: FindingKind
  readonly outcome: 'refused' | 'assumed'
  /** The field or id concerned. */
  readonly where: string
  readonly message: string
  /** What the planner does about it, or what to do. */
  readonly consequence: string
}

/** Thrown for a shift that cannot be planned at all; carries everything found, not only the first thing. */
export class ShiftRefused extends Error {
  override readonly name = 'ShiftRefused'
  readonly findings: readonly Finding[]
  constructor(findings: readonly Finding[]) {
    super(findings.map((finding) => `${finding.where}: ${finding.message}`).join('; '))
    this.findings = findings
  }
}

const refused = (kind: FindingKind, where: string, message: string, consequence: string): Finding => ({
  kind,
  outcome: 'refused',
  where,
  message,
  consequence,
})
const assumed = (kind: FindingKind, where: string, message: string, consequence: string): Finding => ({
  kind,
  outcome: 'assumed',
  where,
  message,
  consequence,
})

/**
 * Reads a shift from JSON and checks that it can be planned. Gives the shift as it will be planned (walking times made
 * consistent, breaks that cannot be taken removed) and the assumptions made.
 * @throws ShiftRefused
 */
export function readShift(json: unknown): { readonly shift: Shift; readonly findings: readonly Finding[] } {
  const parsed = shiftSchema.safeParse(json)
  if (!parsed.success) throw new ShiftRefused(parsed.error.issues.map(formatFinding))
  const shift = parsed.data
  const fatal = [...idFindings(shift), ...numberFindings(shift), ...orderFindings(shift)]
  if (fatal.length > 0) throw new ShiftRefused(fatal)
  const findings = [
    ...therapistFindings(shift),
    ...triangleFindings(shift),
    ...visitFindings(shift),
    ...gapFindings(shift),
    ...weightFindings(shift),
  ]
  return { shift: withAssumptions(shift, findings), findings }
}

function formatFinding(issue: z.core.$ZodIssue): Finding {
  const where = issue.path.join('.') || 'shift'
  return refused('not-the-format', where, issue.message, 'correct the field; nothing was planned')
}

/** Ids that are used but not defined, or defined twice. */
export function idFindings(shift: Shift): Finding[] {
  const units = new Set(shift.units.map((unit) => unit.id))
  const patients = new Set(shift.patients.map((patient) => patient.id))
  const therapists = new Set(shift.therapists.map((therapist) => therapist.id))
  const visits = new Set(shift.visits.map((visit) => visit.id))
  for (const event of shift.events) if (event.type === 'new-visit') visits.add(event.visit.id)
  const findings: Finding[] = []
  const need = (known: ReadonlySet<string>, what: string, id: string, where: string) => {
    if (known.has(id)) return
    findings.push(
      refused('unknown-id', where, `${what} "${id}" is not in the file`, `add the ${what} or correct the id`),
    )
  }
  for (const therapist of shift.therapists)
    for (const unit of unitsOf(therapist)) need(units, 'unit', unit, `therapist ${therapist.id}`)
  for (const patient of shift.patients) need(units, 'unit', patient.unit, `patient ${patient.id}`)
  for (const visit of shift.visits) need(patients, 'patient', visit.patient, `visit ${visit.id}`)
  for (const promised of shift.previousPlan ?? []) {
    need(visits, 'visit', promised.visit, 'previousPlan')
    need(therapists, 'therapist', promised.therapist, 'previousPlan')
  }
  for (const event of shift.events) {
    const where = `event at ${event.time}`
    if (event.type === 'new-visit') need(patients, 'patient', event.visit.patient, where)
    if (event.type === 'cancel-visit' || event.type === 'overrun') need(visits, 'visit', event.visit, where)
    if (event.type === 'patient-away') need(patients, 'patient', event.patient, where)
    if (event.type === 'therapist-leaves') need(therapists, 'therapist', event.therapist, where)
  }
  return [...findings, ...repeatedIds(shift)]
}

const unitsOf = (therapist: Therapist): string[] => [
  therapist.start.unit,
  therapist.end.unit,
  ...(therapist.break === null ? [] : [therapist.break.unit]),
]

function repeatedIds(shift: Shift): Finding[] {
  const added = shift.events.flatMap((event) => (event.type === 'new-visit' ? [event.visit] : []))
  const lists: [string, readonly { readonly id: string }[]][] = [
    ['unit', shift.units],
    ['therapist', shift.therapists],
    ['patient', shift.patients],
    ['visit', [...shift.visits, ...added]],
  ]
  return lists.flatMap(([what, list]) => {
    const ids = list.map((item) => item.id)
    const twice = [...new Set(ids.filter((id, index) => ids.indexOf(id) !== index))]
    return twice.map((id) =>
      refused('repeated-id', `${what} ${id}`, `the id "${id}" is used twice`, `give each ${what} its own id`),
    )
  })
}

function numberFindings(shift: Shift): Finding[] {
  const numbers: [string, number][] = [
    ['horizon', shift.horizon],
    ['roomChange', shift.roomChange],
    ...shift.travel.flatMap((row, i) => row.map((value, j): [string, number] => [`travel ${i},${j}`, value])),
    ...shift.patients.map((patient): [string, number] => [`patient ${patient.id} minGap`, patient.minGap]),
    ...allVisits(shift).map((visit): [string, number] => [`visit ${visit.id} duration`, visit.duration]),
    ...shift.therapists.map((t): [string, number] => [
      `therapist ${t.id} break duration`,
      t.break?.duration ?? 0,
    ]),
    ...weightNumbers(shift),
    ...shift.events.map((e): [string, number] => [
      `event at ${e.time} extraMinutes`,
      e.type === 'overrun' ? e.extraMinutes : 0,
    ]),
  ]
  return numbers
    .filter(([, value]) => value < 0)
    .map(([where, value]) =>
      refused('negative-number', where, `${value} is below zero`, 'give minutes and points of zero or more'),
    )
}

function weightNumbers({ weights }: Shift): [string, number][] {
  return Object.entries(weights).flatMap(([name, value]) =>
    [value].flat(2).map((number): [string, number] => [`weights ${name}`, number]),
  )
}

const allVisits = (shift: Shift) => [
  ...shift.visits,
  ...shift.events.flatMap((event) => (event.type === 'new-visit' ? [event.visit] : [])),
]

function orderFindings(shift: Shift): Finding[] {
  const findings: Finding[] = []
  const size = shift.units.length
  if (shift.travel.length !== size || shift.travel.some((row) => row.length !== size))
    findings.push(
      refused(
        'travel-not-square',
        'travel',
        `is not ${size} by ${size}`,
        'give one row and one column per unit',
      ),
    )
  for (const visit of allVisits(shift))
    if (!(visit.earliest <= visit.onTimeUntil && visit.onTimeUntil <= visit.latest))
      findings.push(
        refused(
          'window-out-of-order',
          `visit ${visit.id}`,
          `earliest ${visit.earliest}, onTimeUntil ${visit.onTimeUntil}, latest ${visit.latest} do not ascend`,
          'put the window in order',
        ),
      )
  for (const therapist of shift.therapists)
    if (therapist.start.time > therapist.end.time)
      findings.push(
        refused(
          'shift-ends-before-it-starts',
          `therapist ${therapist.id}`,
          `starts at ${therapist.start.time} and ends at ${therapist.end.time}`,
          'correct the hours',
        ),
      )
  return findings
}

function therapistFindings(shift: Shift): Finding[] {
  if (shift.therapists.length === 0)
    return [assumed('no-therapists', 'therapists', 'nobody is on', 'every visit is left out and counted so')]
  return shift.therapists.flatMap((therapist) => {
    if (therapist.break === null || breakFits(shift, therapist, therapist.break)) return []
    return [
      assumed(
        'break-outside-shift',
        `therapist ${therapist.id}`,
        'the break cannot be taken between start and end of the shift',
        'planned without a break for this therapist',
      ),
    ]
  })
}

function breakFits(shift: Shift, therapist: Therapist, rest: NonNullable<Therapist['break']>): boolean {
  const unit = (id: string) => shift.units.findIndex((candidate) => candidate.id === id)
  const way = (from: string, to: string) => shift.travel[unit(from)]?.[unit(to)] ?? 0
  const arrival = therapist.start.time + way(therapist.start.unit, rest.unit)
  const start = Math.max(arrival, rest.earliest)
  const home = start + rest.duration + way(rest.unit, therapist.end.unit)
  return start <= rest.latest && home <= therapist.end.time
}

/** Walking times with every detour shorter than the direct way put in its place (Floyd–Warshall, from memory). */
export function shortestWays(travel: readonly (readonly number[])[]): number[][] {
  const ways = travel.map((row) => [...row])
  for (let via = 0; via < ways.length; via++)
    for (const row of ways)
      for (let to = 0; to < ways.length; to++)
        row[to] = Math.min(row[to] as number, (row[via] as number) + ((ways[via] as number[])[to] as number))
  return ways
}

function triangleFindings(shift: Shift): Finding[] {
  const ways = shortestWays(shift.travel)
  const findings: Finding[] = []
  shift.travel.forEach((row, i) => {
    row.forEach((minutes, j) => {
      const shorter = ways[i]?.[j] as number
      if (shorter === minutes) return
      const pair = `${shift.units[i]?.id} to ${shift.units[j]?.id}`
      findings.push(
        assumed(
          'triangle-broken',
          `travel ${pair}`,
          `${minutes} min direct, but ${shorter} min by way of other units`,
          `planned with ${shorter} min`,
        ),
      )
    })
  })
  return findings
}

function visitFindings(shift: Shift): Finding[] {
  if (shift.therapists.length === 0) return []
  return allVisits(shift).flatMap((visit) => {
    const skill = visit.skill
    const able = shift.therapists.filter((therapist) => skill === null || therapist.skills.includes(skill))
    if (able.length === 0)
      return [
        assumed(
          'no-therapist-with-skill',
          `visit ${visit.id}`,
          `nobody on this shift has the skill "${visit.skill}"`,
          'the visit is left out and counted so',
        ),
      ]
    const possible = able.some(
      (t) =>
        Math.max(t.start.time, visit.earliest) + visit.duration <= t.end.time && t.start.time <= visit.latest,
    )
    if (possible) return []
    return [
      assumed(
        'no-time-for-visit',
        `visit ${visit.id}`,
        'its window and duration fit no able therapist’s hours',
        'the visit is left out and counted so',
      ),
    ]
  })
}

function gapFindings(shift: Shift): Finding[] {
  return shift.patients.flatMap((patient) => {
    const doses = shift.visits.filter((visit) => visit.patient === patient.id)
    if (doses.length < 2 || patient.minGap <= shift.horizon) return []
    return [
      assumed(
        'gap-longer-than-shift',
        `patient ${patient.id}`,
        `a gap of ${patient.minGap} min does not fit in a shift of ${shift.horizon} min, but ${doses.length} doses are listed`,
        'at most one dose that the gap allows is planned; the others are left out and counted so',
      ),
    ]
  })
}

function weightFindings(shift: Shift): Finding[] {
  const { drop, latePerMinute } = shift.weights
  return shift.visits.flatMap((visit) => {
    const index = visit.priority - 1
    const latest = (latePerMinute[index] as number) * (visit.latest - visit.onTimeUntil)
    if (latest <= (drop[index] as number)) return []
    return [
      assumed(
        'weights-out-of-order',
        `visit ${visit.id}`,
        `being as late as allowed costs ${latest}, being left out ${drop[index]}`,
        'the plan may leave it out rather than give it late',
      ),
    ]
  })
}

function withAssumptions(shift: Shift, findings: readonly Finding[]): Shift {
  const breakless = new Set(findings.filter((f) => f.kind === 'break-outside-shift').map((f) => f.where))
  return {
    ...shift,
    travel: shortestWays(shift.travel),
    therapists: shift.therapists.map((therapist) =>
      breakless.has(`therapist ${therapist.id}`) ? { ...therapist, break: null } : therapist,
    ),
  }
}
