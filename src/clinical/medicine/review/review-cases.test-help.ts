import { defaultFormulary } from '../formulary/formulary.ts'
import type { OrderLine, OrderToReview } from './order.ts'
import { reviewOrder } from './order-review.ts'
import type { PatientFacts } from './patient.ts'

/** Orders and patients that the tests of the review start from, and short ways to read what it found. */
const YEAR = 365.25
export const line = (
  medicineId: string | null,
  amountMin: number | null,
  unit: string | null,
  more: Partial<OrderLine> = {},
): OrderLine => ({
  medicineId,
  text: medicineId ?? 'an unread name',
  amountMin,
  amountMax: null,
  unit,
  part: 'medicine',
  ...more,
})
export const order = (medicines: OrderLine[], more: Partial<OrderToReview> = {}): OrderToReview => ({
  medicines,
  route: 'INH',
  frequency: { timesPerDay: 4 },
  prn: null,
  indication: 'COPD',
  prescriber: { id: '7', name: 'A. Prescriber' },
  startAt: '2026-03-10T08:00:00Z',
  endAt: '2026-03-17T08:00:00Z',
  ...more,
})
export const adult: PatientFacts = {
  ageDays: 65 * YEAR,
  weightKg: 80,
  conditions: [],
  allergies: [],
  taking: [],
}
export const child = (years: number, weightKg: number | null): PatientFacts => ({
  ...adult,
  ageDays: years * YEAR,
  weightKg,
})

export const review = (asked: OrderToReview, patient: PatientFacts = adult) =>
  reviewOrder(defaultFormulary(), asked, patient)
export const codes = (asked: OrderToReview, patient: PatientFacts = adult) =>
  review(asked, patient).findings.map(({ code, severity }) => `${severity} ${code}`)
export const finding = (asked: OrderToReview, code: string, patient: PatientFacts = adult) =>
  review(asked, patient).findings.find((each) => each.code === code)

export const albuterol = line('albuterol', 2.5, 'mg')
export const ipratropium = line('ipratropium', 500, 'mcg')
