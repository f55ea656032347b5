import { FORMULARY, reviewOrder } from '../../clinical/medicine/index.ts'
import type { OrderBody } from '../facts/orders.ts'
import type { Chart } from '../folds/chart.ts'
import { orderStatusAt, termsAt } from '../folds/order.ts'
import { ageAt } from '../folds/patient.ts'
import type { BodyOf } from '../registry.ts'

/** Looks an order over against its patient, the patient's other orders and the formulary, before it is ever due. */
export function reviewAgainstChart(
  chart: Chart,
  patientId: string,
  orderId: string,
  order: OrderBody,
  at: string,
): Omit<BodyOf<'order-reviewed'>, 'reviewsFact'> {
  const patient = chart.patient(patientId)
  const taking = chart
    .ordersOf(patientId)
    .filter(
      (other) =>
        other.orderId !== orderId && ['active', 'not begun', 'on hold'].includes(orderStatusAt(other, at)),
    )
    .flatMap((other) => {
      const terms = termsAt(other, at)
      return terms.medicines.map(({ medicineId, text }) => ({
        medicineId,
        name: text,
        asNeeded: terms.prn !== null,
      }))
    })
  const { medicines, route, frequency, priority, prn, indication, prescriber } = order
  const review = reviewOrder(
    FORMULARY,
    {
      medicines,
      route,
      frequency,
      priority,
      prn,
      indication,
      prescriber,
    },
    {
      ageDays: ageAt(patient.dob, at)?.days ?? null,
      weightKg: patient.weightKg,
      conditions: patient.conditions,
      allergies: patient.allergies,
      isolation: patient.isolation,
      taking,
    },
  )
  return {
    findings: [...review.findings].map((finding) => ({ ...finding, sources: [...finding.sources] })),
    formularyVersion: review.formularyVersion,
  }
}
