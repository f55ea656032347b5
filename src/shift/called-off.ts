import type { Chart } from '../chart/folds/chart.ts'
import { termsAt } from '../chart/folds/order.ts'
import type { PlanState } from '../chart/folds/plans.ts'
import type { Shift } from '../rounds/index.ts'
import { doseName } from './promised.ts'
import { minuteIn, type ShiftSpan } from './shift-span.ts'
import type { Stay, StayDose } from './stay.ts'

/** A visit that the plan in force still promises, and that nothing asks for any more. */
export type CalledOff = Pick<Stay, 'visit' | 'patientId' | 'doses'> & {
  readonly group: string
  readonly startAt: string
  readonly endAt: string
}

/**
 * Promises of the plan whose time is still to come and whose doses are neither open nor given: the order ended or is on
 * hold, the dose was charted as not given, or it cannot be planned any more.
 */
export function calledOff(
  plan: PlanState | null,
  stays: readonly { readonly doses: readonly StayDose[] }[],
  chart: Chart,
  now: string,
): CalledOff[] {
  const known = new Set(stays.flatMap(({ doses }) => doses.map(doseName)))
  return (plan?.routes ?? []).flatMap(({ stops }) =>
    stops.flatMap((stop): CalledOff[] => {
      if (stop.kind === 'break' || stop.startAt <= now) return []
      if (stop.doses.some((dose) => known.has(doseName(dose)))) return []
      const { visit, patientId, startAt, endAt } = stop
      const doses = stop.doses.map((dose) => ({ ...dose, title: titleOf(chart, dose.orderId, startAt) }))
      return [{ visit, patientId, doses, group: `${patientId} called off`, startAt, endAt }]
    }),
  )
}

function titleOf(chart: Chart, orderId: string, at: string): string {
  const order = chart.order(orderId)
  return order ? termsAt(order, at).title : ''
}

/** What is called off as visits and patients of the day that was promised; they cost nothing and bind nobody. */
export function promisedStill(
  off: readonly CalledOff[],
  base: string,
  span: ShiftSpan,
): Pick<Shift, 'visits' | 'patients'> {
  return {
    visits: off.map(({ visit, group, startAt, endAt }) => {
      const start = minuteIn(span, startAt)
      const times = { due: start, earliest: start, onTimeUntil: start, latest: start }
      const duration = minuteIn(span, endAt) - start
      return { id: visit, patient: group, kind: 'called off', priority: 4, skill: null, ...times, duration }
    }),
    patients: [...new Set(off.map(({ group }) => group))].map((id) => ({
      id,
      unit: base,
      isolation: 'none',
      minGap: 0,
    })),
  }
}
