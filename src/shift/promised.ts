import type { PlanState, ShiftPlans } from '../chart/folds/plans.ts'
import { minuteIn, type ShiftSpan } from './shift-span.ts'
import type { StayDose } from './stay.ts'

/** A dose's name that outlives its stay: the order, and when it is due or who called. */
export function doseName({
  orderId,
  doseAt,
  callId,
}: Pick<StayDose, 'orderId' | 'doseAt' | 'callId'>): string {
  return `${orderId}@${doseAt ?? callId}`
}

/** A stop of the plan in force, found again among what is known now: a stay, or (null) the break. */
export type KeptStop = { readonly visit: string | null; readonly startAt: string; readonly endAt: string }

/** What the plan in force says to each person, in the names of the stays as they are now. */
export type Kept = { readonly personId: string; readonly stops: readonly KeptStop[] }

/** The plan that holds: the one in force, or while two stand side by side the last that both follow. */
export function holdingPlan(plans: ShiftPlans): PlanState | null {
  return plans.inForce ?? plans.agreed
}

/** Reads a plan against the stays of the present: what was split, joined or taken away since finds its new name or none. */
export function keptOf(
  plan: PlanState | null,
  stays: readonly { readonly visit: string; readonly doses: readonly StayDose[] }[],
): Kept[] {
  const visitOf = new Map(stays.flatMap(({ visit, doses }) => doses.map((dose) => [doseName(dose), visit])))
  return (plan?.routes ?? []).map(({ personId, stops }) => {
    const seen = new Set<string>()
    return {
      personId,
      stops: stops.flatMap((stop): KeptStop[] => {
        const { startAt, endAt } = stop
        if (stop.kind === 'break') return [{ visit: null, startAt, endAt }]
        const visits = stop.doses.flatMap((dose) => visitOf.get(doseName(dose)) ?? [])
        return [...new Set(visits)].flatMap((visit) => {
          if (seen.has(visit)) return []
          seen.add(visit)
          return [{ visit, startAt, endAt }]
        })
      }),
    }
  })
}

/** A stop of the plan in force in minutes of the shift. */
export type PromisedStop = { readonly visit: string | null; readonly start: number; readonly end: number }

/** What the plan in force says to one person, in minutes of the shift. */
export function promisedTo(personId: string, kept: readonly Kept[], span: ShiftSpan): PromisedStop[] {
  const stops = kept.find((each) => each.personId === personId)?.stops ?? []
  return stops.map(({ visit, startAt, endAt }) => ({
    visit,
    start: minuteIn(span, startAt),
    end: minuteIn(span, endAt),
  }))
}
