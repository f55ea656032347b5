import { begunBy, type Day } from '../day.ts'
import type { Shift, Therapist, Visit } from '../model.ts'
import type { Pin, Stop } from '../standing.ts'
import { type Repair, type RepairOptions, repairToFacts } from './repair.ts'

/** What a person wants of the plan: a visit with somebody, at a minute, both, or no longer held. */
export type Decision =
  | { readonly kind: 'place'; readonly visit: string; readonly therapist: string; readonly start?: number }
  /** All visits of a patient still to come, by one therapist. */
  | { readonly kind: 'hand-over'; readonly patient: string; readonly therapist: string }
  | { readonly kind: 'release'; readonly visit: string }

/** Why a decision cannot be carried out. */
export type DecisionProblem =
  | 'unknown-visit'
  | 'unknown-patient'
  | 'unknown-therapist'
  | 'therapist-has-left'
  | 'skill-missing'
  | 'has-begun'
  | 'before-now'
  | 'outside-window'
  | 'patient-away'
  | 'nothing-to-come'
  | 'no-time'

/** Thrown for a decision that breaks a hard rule; the plan in force is kept. */
export class DecisionRefused extends Error {
  override readonly name = 'DecisionRefused'
  readonly problem: DecisionProblem
  readonly decision: Decision
  constructor(decision: Decision, problem: DecisionProblem, message: string) {
    super(`${message}; the plan in force is kept`)
    this.decision = decision
    this.problem = problem
  }
}

/**
 * Carries out a person's decision: the visit is pinned where she put it and the rest is repaired around it. `begun` is
 * what has really been begun (by default: what the plan says).
 * @throws DecisionRefused when a hard rule forbids it, or no time can be found for it
 */
export function decide(
  day: Day,
  decision: Decision,
  now: number,
  options: RepairOptions,
  begun: readonly (readonly Stop[])[] = begunBy(day, now),
): Repair {
  const pins = pinsFor(day, decision, now, begun)
  const touched = new Set(pins.map((pin) => pin.visit))
  if (decision.kind === 'release') touched.add(decision.visit)
  const next: Day = { ...day, pins: [...day.pins.filter((pin) => !touched.has(pin.visit)), ...pins] }
  const repaired = repairToFacts(day, { day: next, begun }, now, options)
  const lost = repaired.releasedPins.find((pin) => pins.includes(pin))
  if (lost !== undefined)
    throw new DecisionRefused(
      decision,
      'no-time',
      `${lost.therapist} has no time for visit ${lost.visit} there`,
    )
  return repaired
}

function pinsFor(day: Day, decision: Decision, now: number, begun: readonly (readonly Stop[])[]): Pin[] {
  const refuse = (problem: DecisionProblem, message: string): never => {
    throw new DecisionRefused(decision, problem, message)
  }
  const started = new Set(begun.flat().map((stop) => stop.visit))
  if (decision.kind === 'release') {
    visitOf(day.shift, decision.visit) ?? refuse('unknown-visit', `visit ${decision.visit} is not known`)
    return []
  }
  const therapist =
    day.shift.therapists.find((item) => item.id === decision.therapist) ??
    refuse('unknown-therapist', `therapist ${decision.therapist} is not known`)
  if (day.gone.includes(therapist.id)) refuse('therapist-has-left', `${therapist.id} has left`)
  const visits = visitsOf(day.shift, decision, started, refuse)
  for (const visit of visits) {
    if (started.has(visit.id)) refuse('has-begun', `visit ${visit.id} has begun`)
    if (!able(therapist, visit))
      refuse(
        'skill-missing',
        `${therapist.id} is not signed off for ${visit.skill ?? ''} (visit ${visit.id})`,
      )
  }
  if (decision.kind === 'hand-over' || decision.start === undefined)
    return visits.map((visit) => ({ visit: visit.id, therapist: therapist.id }))
  checkMinute(day, visits[0] as Visit, decision.start, now, refuse)
  return [{ visit: decision.visit, therapist: therapist.id, start: decision.start }]
}

const visitOf = (shift: Shift, id: string): Visit | undefined => shift.visits.find((item) => item.id === id)
const able = (therapist: Therapist, visit: Visit): boolean =>
  visit.skill === null || therapist.skills.includes(visit.skill)

type Refuse = (problem: DecisionProblem, message: string) => never

function visitsOf(
  shift: Shift,
  decision: Exclude<Decision, { kind: 'release' }>,
  started: ReadonlySet<string | null>,
  refuse: Refuse,
): Visit[] {
  if (decision.kind === 'place')
    return [visitOf(shift, decision.visit) ?? refuse('unknown-visit', `visit ${decision.visit} is not known`)]
  if (!shift.patients.some((patient) => patient.id === decision.patient))
    refuse('unknown-patient', `patient ${decision.patient} is not known`)
  const visits = shift.visits.filter((visit) => visit.patient === decision.patient && !started.has(visit.id))
  if (visits.length === 0) refuse('nothing-to-come', `patient ${decision.patient} has no visit still to come`)
  return visits
}

function checkMinute(day: Day, visit: Visit, start: number, now: number, refuse: Refuse): void {
  if (start < now) refuse('before-now', `minute ${start} has passed`)
  if (start < visit.earliest || start > visit.latest)
    refuse('outside-window', `visit ${visit.id} may begin from minute ${visit.earliest} to ${visit.latest}`)
  const end = start + visit.duration
  const away = day.away.find(
    (item) => item.patient === visit.patient && start < item.until && end > item.from,
  )
  if (away !== undefined)
    refuse('patient-away', `the patient is away from minute ${away.from} to ${away.until}`)
}
