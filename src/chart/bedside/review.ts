import { type Formulary, reviewOrder } from '../../clinical/medicine/index.ts'
import type { OrderBody } from '../facts/orders.ts'
import type { Chart } from '../folds/chart.ts'
import { ageAt } from '../folds/patient.ts'
import type { BodyOf } from '../registry.ts'
import { orderToReview, otherOrders } from './order-to-review.ts'

/** Looks an order over against its patient, the patient's other orders and the formulary, before it is ever due. */
export function reviewAgainstChart(
  formulary: Formulary,
  chart: Chart,
  patientId: string,
  orderId: string,
  order: OrderBody,
  at: string,
): Omit<BodyOf<'order-reviewed'>, 'reviewsFact'> {
  const patient = chart.patient(patientId)
  const others = otherOrders(chart, patientId, orderId, at, ['active', 'not begun', 'on hold'])
  // an order that names no first instant begins when it is written down
  const review = reviewOrder(
    formulary,
    { ...orderToReview(order), startAt: order.startAt ?? at },
    {
      ageDays: ageAt(patient.dob, at)?.days ?? null,
      weightKg: patient.weightKg,
      conditions: patient.conditions,
      allergies: patient.allergies,
      isolation: patient.isolation,
      taking: others.flatMap(({ medicines, prn }) =>
        medicines.map(({ medicineId, text }) => ({ medicineId, name: text, asNeeded: prn !== null })),
      ),
      orders: others.map(orderToReview),
    },
  )
  return {
    findings: [...review.findings].map((finding) => ({ ...finding, sources: [...finding.sources] })),
    formularyVersion: review.formularyVersion,
  }
}
