import type { PlanState, ShiftPlans } from '../chart/folds/plans.ts'
import { doseName } from './promised.ts'
import type { StayDose } from './stay.ts'

type Dose = Pick<StayDose, 'orderId' | 'doseAt' | 'callId'>
type Promise = { readonly personId: string; readonly startAt: string }

/** One promise to a patient that a plan changed: what it was, what it is, why, and whom it concerns. */
export type PromiseLogged = {
  readonly planId: string
  readonly at: string
  readonly by: string
  readonly patientId: string
  readonly dose: Dose
  readonly kind: 'added' | 'other therapist' | 'later' | 'earlier' | 'no longer planned'
  readonly from: Promise | null
  readonly to: Promise | null
  readonly because: PlanState['because']
  /** Who had it and who has it now. */
  readonly concerns: readonly string[]
}

type Given = Promise & { readonly patientId: string; readonly dose: Dose }

/**
 * What each plan of a shift changed of the one that it followed, oldest first. Starts that wander by no more than the
 * tolerance are kept promises. What had its time before the later plan was made is done, or missed, and no change.
 */
export function promiseLog(plans: ShiftPlans, toleranceMinutes: number): PromiseLogged[] {
  const byId = new Map(plans.plans.map((plan) => [plan.planId, plan]))
  return plans.plans.flatMap((plan) => {
    const base = plan.basedOn.planId === null ? undefined : byId.get(plan.basedOn.planId)
    return base ? changesFrom(base, plan, toleranceMinutes) : []
  })
}

function changesFrom(base: PlanState, plan: PlanState, toleranceMinutes: number): PromiseLogged[] {
  const [was, is] = [givenBy(base), givenBy(plan)]
  return [...new Set([...was.keys(), ...is.keys()])].sort().flatMap((name) => {
    const [from, to] = [was.get(name), is.get(name)]
    const either = to ?? from
    if (!either || (to === undefined && either.startAt <= plan.issuedAt)) return []
    const kind = kindOf(from, to, toleranceMinutes)
    if (kind === null) return []
    const promise = (given: Given | undefined) =>
      given ? { personId: given.personId, startAt: given.startAt } : null
    return [
      {
        planId: plan.planId,
        at: plan.issuedAt,
        by: plan.issuedBy,
        patientId: either.patientId,
        dose: either.dose,
        kind,
        from: promise(from),
        to: promise(to),
        because: plan.because,
        concerns: [...new Set([from, to].flatMap((given) => given?.personId ?? []))],
      },
    ]
  })
}

function givenBy({ routes }: PlanState): Map<string, Given> {
  const given = new Map<string, Given>()
  for (const { personId, stops } of routes)
    for (const stop of stops)
      if (stop.kind === 'visit')
        for (const dose of stop.doses)
          given.set(doseName(dose), { personId, startAt: stop.startAt, patientId: stop.patientId, dose })
  return given
}

function kindOf(
  from: Given | undefined,
  to: Given | undefined,
  tolerance: number,
): PromiseLogged['kind'] | null {
  if (!to) return 'no longer planned'
  if (!from) return 'added'
  if (from.personId !== to.personId) return 'other therapist'
  const minutes = (Date.parse(to.startAt) - Date.parse(from.startAt)) / 60_000
  if (Math.abs(minutes) <= tolerance) return null
  return minutes > 0 ? 'later' : 'earlier'
}
