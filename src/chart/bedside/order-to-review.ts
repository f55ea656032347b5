import type { OrderToReview } from '../../clinical/medicine/index.ts'
import type { OrderBody } from '../facts/orders.ts'
import type { Chart } from '../folds/chart.ts'
import { type OrderStatus, orderStatusAt, termsAt } from '../folds/order.ts'

/** An order of the record in the fields that the medicine room reads. */
export function orderToReview(order: OrderBody): OrderToReview {
  const { medicines, route, frequency, priority, prn, indication, prescriber, startAt, endAt } = order
  return { medicines, route, frequency, priority, prn, indication, prescriber, startAt, endAt }
}

/** The terms of a patient's other orders that are in one of these states at an instant. */
export function otherOrders(
  chart: Chart,
  patientId: string,
  orderId: string,
  at: string,
  states: readonly OrderStatus[],
): readonly OrderBody[] {
  return chart
    .ordersOf(patientId)
    .filter((other) => other.orderId !== orderId && states.includes(orderStatusAt(other, at)))
    .map((other) => termsAt(other, at))
}
