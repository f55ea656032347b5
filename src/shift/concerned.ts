import type { Site } from '../chart/documents/site.ts'
import type { Chart } from '../chart/folds/chart.ts'
import { orderStatusAt } from '../chart/folds/order.ts'
import { isOver } from '../chart/folds/visit.ts'
import { type ShiftSpan, shiftSpanAt } from './shift-span.ts'

/** What a tablet is for at an instant: the shift that it falls into and the one after it, for whoever comes early. */
export type Watch = {
  readonly now: string
  readonly shifts: readonly [ShiftSpan, ShiftSpan]
  /** The units of these shifts; null when they are all units, because nobody or somebody without units is on. */
  readonly units: readonly string[] | null
}

/** The shift and its units, of all of its people: they plan as one, and cover for each other. */
export function watchAt(chart: Chart, site: Pick<Site, 'timeZone' | 'shifts'>, now: string): Watch {
  const present = shiftSpanAt(now, site)
  const next = shiftSpanAt(present.to, site)
  const on = chart
    .staff()
    .filter(({ active }) => active)
    .flatMap(({ shifts }) => shifts.filter(({ from, to }) => from < next.to && to > present.from))
  const everywhere = on.length === 0 || on.some(({ units }) => units.length === 0)
  const units = everywhere ? null : [...new Set(on.flatMap((each) => each.units))].sort()
  return { now, shifts: [present, next], units }
}

/**
 * Does a patient on none of the shift's units concern it all the same? With an order that is not over while they are
 * here, or a visit that is open or of which the shift wrote something: nobody else would see to them.
 */
export function concernsFromElsewhere(chart: Chart, patientId: string, watch: Watch): boolean {
  const { now, shifts } = watch
  const isHere = chart.patient(patientId).dischargedAt === null
  const orders = chart.ordersOf(patientId)
  const hasOrder = orders.some((order) => !['discontinued', 'ended'].includes(orderStatusAt(order, now)))
  if (isHere && hasOrder) return true
  const isOfShift = (visitId: string) =>
    chart.factsAbout('visit', visitId).some(({ happenedAt }) => happenedAt >= shifts[0].from)
  return orders.some(({ orderId }) =>
    chart.visitsOf(orderId).some((visit) => !isOver(visit) || isOfShift(visit.visitId)),
  )
}

/** Whoever has a place in a plan that was given out for these shifts, or was pinned in one. */
export function plannedPatients(chart: Chart, { shifts }: Watch): ReadonlySet<string> {
  const named = shifts.flatMap(({ shiftId }) => {
    const { plans, pins } = chart.plans(shiftId)
    const stops = plans.flatMap(({ routes, leftOut }) => [
      ...routes.flatMap((route) =>
        route.stops.flatMap((stop) => (stop.kind === 'visit' ? stop.patientId : [])),
      ),
      ...leftOut.map(({ patientId }) => patientId),
    ])
    return [...stops, ...pins.map(({ patientId }) => patientId)]
  })
  return new Set(named)
}
