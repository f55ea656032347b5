import { type Compiled, compile } from './compile.ts'
import { breakNode } from './engine/flat.ts'
import { PlanState } from './engine/plan-state.ts'
import { BREAK, type Patient, type Plan, type Shift, type Visit } from './model.ts'
import { openingStanding, rankOf, type Spot, type Standing, type Stop, walkMinutes } from './standing.ts'

/** What a plan costs, in penalty points, by what it is paid for. */
export type PlanParts = {
  readonly drop: number
  readonly late: number
  readonly isolation: number
  readonly handover: number
  readonly walk: number
  readonly maxLoad: number
  readonly reassign: number
  readonly postpone: number
}

/** One therapist's stops with their times, and her bedside and walking minutes. */
export type TherapistSchedule = {
  readonly therapist: string
  readonly stops: readonly Stop[]
  readonly load: number
}

/** A plan with its earliest-start times and its price. */
export type PricedPlan = {
  readonly plan: Plan
  readonly schedule: readonly TherapistSchedule[]
  readonly dropped: readonly string[]
  readonly droppedByPriority: readonly [number, number, number, number]
  readonly lateMinutes: number
  readonly parts: PlanParts
  readonly total: number
}

/** Thrown when a plan breaks a hard rule: a window, a gap, a skill, the break or the end of the shift. */
export class PlanImpossible extends Error {
  override readonly name = 'PlanImpossible'
}

/**
 * Prices a plan: the earliest-start schedule of its sequences and the objective by parts. What is fixed at the
 * standing comes first in every sequence and is priced too.
 * @throws PlanImpossible
 */
export function evaluate(shift: Shift, plan: Plan, standing: Standing = openingStanding(shift)): PricedPlan {
  const compiled = compile(shift, standing)
  return pricedState(compiled, loadPlan(compiled, plan))
}

/**
 * The plan as an engine state. The plan lists only what is still free.
 * @throws PlanImpossible
 */
export function loadPlan(compiled: Compiled, plan: Plan): PlanState {
  const { flat, visits, shift } = compiled
  const number = new Map(visits.map((visit, v) => [visit.id, v]))
  const given = new Set<number>()
  const routes = shift.therapists.map((therapist, k) =>
    (plan.routes[k] ?? []).map((id) => {
      if (id === BREAK) return breakNode(flat, k)
      const v = number.get(id)
      if (v === undefined) throw new PlanImpossible(`visit ${id} is not free to be planned`)
      if (given.has(v)) throw new PlanImpossible(`visit ${id} is given twice`)
      if (flat.allowed[v * flat.routes + k] !== 1)
        throw new PlanImpossible(`therapist ${therapist.id} may not give visit ${id}`)
      given.add(v)
      return v
    }),
  )
  const state = new PlanState(flat)
  if (!state.setRoutes(routes))
    throw new PlanImpossible('a window, a gap, the break or the end of the shift is broken')
  return state
}

/** The schedule and price of an engine state. */
export function pricedState(compiled: Compiled, state: PlanState): PricedPlan {
  const { flat, visits, shift, standing } = compiled
  const routes = state.routes()
  const plan: Plan = {
    routes: routes.map((nodes) =>
      nodes.map((node) => (node < flat.visits ? (visits[node] as Visit).id : BREAK)),
    ),
  }
  const stops = routes.map((nodes, k) => {
    const done = standing.therapists[k]?.done ?? []
    const planned = nodes.map((node) => {
      const start = state.start[node] as number
      const visit = node < flat.visits ? (visits[node] as Visit).id : null
      return { visit, start, end: start + (flat.duration[node] as number) }
    })
    return [...done, ...planned]
  })
  return { plan, ...priceStops(shift, stops) }
}

/** Prices therapists' days as they were or will be, from the stops alone: no rule is checked here. */
export function priceStops(shift: Shift, stops: readonly (readonly Stop[])[]): Omit<PricedPlan, 'plan'> {
  const visits = new Map(shift.visits.map((visit) => [visit.id, visit]))
  const schedule = stops.map((list, k) => ({
    therapist: shift.therapists[k]?.id ?? '',
    stops: list,
    ...walkOf(shift, k, list, visits),
  }))
  const given = new Set(stops.flat().flatMap((stop) => (stop.visit === null ? [] : [stop.visit])))
  const dropped = shift.visits.filter((visit) => !given.has(visit.id))
  const droppedByPriority: [number, number, number, number] = [0, 0, 0, 0]
  for (const visit of dropped)
    droppedByPriority[visit.priority - 1] = (droppedByPriority[visit.priority - 1] ?? 0) + 1
  const lateness = latenessOf(shift, stops, visits)
  const { weights } = shift
  const sum = (values: readonly number[]) => values.reduce((total, value) => total + value, 0)
  const parts: PlanParts = {
    drop: sum(dropped.map((visit) => weights.drop[visit.priority - 1] as number)),
    late: lateness.late,
    isolation: sum(schedule.map((item) => item.isolation)),
    handover: weights.handover * handovers(stops, visits),
    walk: weights.walk * sum(schedule.map((item) => item.walked)),
    maxLoad: weights.maxLoad * Math.max(0, ...schedule.map((item) => item.load)),
    ...promiseCost(shift, stops),
  }
  return {
    schedule: schedule.map(({ therapist, stops: list, load }) => ({ therapist, stops: list, load })),
    dropped: dropped.map((visit) => visit.id),
    droppedByPriority,
    lateMinutes: lateness.minutes,
    parts,
    total: sum(Object.values(parts)),
  }
}

function walkOf(shift: Shift, k: number, stops: readonly Stop[], visits: ReadonlyMap<string, Visit>) {
  const unit = (id: string) => shift.units.findIndex((item) => item.id === id)
  const patients = new Map(shift.patients.map((patient) => [patient.id, patient]))
  const therapist = shift.therapists[k] as Shift['therapists'][number]
  let spot: Spot = { unit: unit(therapist.start.unit), patient: null }
  let rank = 0
  let walked = 0
  let bedside = 0
  let isolation = 0
  const go = (to: Spot) => {
    walked += walkMinutes(shift, spot, to)
    spot = to
  }
  for (const stop of stops) {
    if (stop.visit === null) {
      go({ unit: unit(therapist.break?.unit ?? therapist.start.unit), patient: null })
      rank = 0
      continue
    }
    const patient = patients.get(visits.get(stop.visit)?.patient ?? '') as Patient
    go({ unit: unit(patient.unit), patient: patient.id })
    isolation += (shift.weights.isolation[rank] as number[])[rankOf(patient)] as number
    rank = rankOf(patient)
    bedside += stop.end - stop.start
  }
  go({ unit: unit(therapist.end.unit), patient: null })
  return { walked, load: walked + bedside, isolation }
}

function latenessOf(shift: Shift, stops: readonly (readonly Stop[])[], visits: ReadonlyMap<string, Visit>) {
  let minutes = 0
  let late = 0
  for (const stop of stops.flat()) {
    const visit = visits.get(stop.visit ?? '')
    if (visit === undefined) continue
    const over = Math.max(0, stop.start - visit.onTimeUntil)
    minutes += over
    late += over * (shift.weights.latePerMinute[visit.priority - 1] as number)
  }
  return { minutes, late }
}

function handovers(stops: readonly (readonly Stop[])[], visits: ReadonlyMap<string, Visit>): number {
  const seenBy = new Map<string, Set<number>>()
  stops.forEach((list, k) => {
    for (const stop of list) {
      const patient = visits.get(stop.visit ?? '')?.patient
      if (patient === undefined) continue
      seenBy.set(patient, (seenBy.get(patient) ?? new Set()).add(k))
    }
  })
  return [...seenBy.values()].reduce((count, therapists) => count + therapists.size - 1, 0)
}

function promiseCost(shift: Shift, stops: readonly (readonly Stop[])[]) {
  const promised = new Map((shift.previousPlan ?? []).map((item) => [item.visit, item]))
  let reassigned = 0
  let postponed = 0
  stops.forEach((list, k) => {
    for (const stop of list) {
      const promise = promised.get(stop.visit ?? '')
      if (promise === undefined) continue
      if (promise.therapist !== shift.therapists[k]?.id) reassigned++
      postponed += Math.max(0, stop.start - promise.start - shift.weights.promiseTolerance)
    }
  })
  return {
    reassign: shift.weights.reassign * reassigned,
    postpone: shift.weights.postponePerMinute * postponed,
  }
}
