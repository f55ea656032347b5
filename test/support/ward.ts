import { atTheDoor } from '../../src/chart/bedside/at-the-door.ts'
import { packOf } from '../../src/chart/bedside/products.ts'
import { ISOLATION } from '../../src/chart/documents/isolation.ts'
import { MEDICINE_CODES } from '../../src/chart/documents/medicine-codes.ts'
import { SITE } from '../../src/chart/documents/site.ts'
import type { Measurements } from '../../src/chart/facts/measurements.ts'
import type { OrderBody, OrderedMedicine } from '../../src/chart/facts/orders.ts'
import { Chart } from '../../src/chart/folds/chart.ts'
import type { BodyOf } from '../../src/chart/registry.ts'
import { defaultFormulary } from '../../src/clinical/medicine/index.ts'
import { QID_ALBUTEROL, TestWriter } from './facts.ts'

/** A patient with orders and treatments, written hour by hour, for the tests of the bedside. */
export const NOON = '2026-03-10T12:00:00.000Z'
export const hours = (fromNoon: number) => new Date(Date.parse(NOON) + fromNoon * 3_600_000).toISOString()

export const line = (
  medicineId: string | null,
  amountMin: number | null,
  unit: string | null,
  more: Partial<OrderedMedicine> = {},
): OrderedMedicine => ({
  medicineId,
  code: 'X',
  text: medicineId ?? 'an unread name',
  amountMin,
  amountMax: null,
  unit,
  part: 'medicine',
  ...more,
})
export const order = (medicines: OrderedMedicine[], more: Partial<OrderBody> = {}): OrderBody => ({
  ...QID_ALBUTEROL,
  indication: 'COPD',
  startAt: hours(-48),
  medicines,
  ...more,
})

export const DOCUMENTS = {
  formulary: defaultFormulary(),
  isolation: ISOLATION.defaults,
  site: SITE.defaults,
  codes: MEDICINE_CODES.defaults,
}

/** The product of that id in the cabinet. */
export function product(productId: string) {
  const found = MEDICINE_CODES.defaults.products.find((each) => each.productId === productId)
  if (!found) throw new Error(`no product ${productId}`)
  return found
}
export const packIdOf = (productId: string) => packOf(defaultFormulary(), product(productId))?.id ?? null

type Portion = BodyOf<'prepared'>['portions'][number]

/** Writes what happened to one patient. */
export class Ward {
  readonly chart = new Chart()
  readonly #writer = new TestWriter(hours(-72))
  #visits = 0

  constructor(patch: BodyOf<'census-updated'>['patch'] = {}) {
    const known = { mrn: 'M1', dob: '1960-01-01', weightKg: 70, allergies: [], conditions: [], ...patch }
    this.#add('census-updated', { patientId: 'p' }, { event: 'admitted', patch: known })
  }

  order(orderId: string, body: OrderBody, at = hours(-48)): this {
    this.#writer.at = at
    this.#add('order-placed', { patientId: 'p', orderId }, { order: body, channel: 'hand' })
    return this
  }

  /** A treatment that was started at an instant with these portions in the cup. */
  gave(orderId: string, at: string, portions: readonly (Partial<Portion> & { medicineId: string })[]): this {
    const about = this.#visit(orderId, at)
    this.#add('prepared', about, {
      portions: portions.map((portion) => ({
        productId: null,
        text: portion.medicineId,
        amount: null,
        unit: null,
        volumeMl: 3,
        part: 'medicine',
        ...portion,
      })),
      totalMl: 3,
      targetFillMl: 3,
      answered: [],
    })
    this.#add('treatment-started', about, { alongside: [] })
    return this
  }

  /** What another system charted as given. */
  outside(
    at: string,
    given: { code: string; amount: number | null; unit: string | null; status?: string },
  ): this {
    this.#writer.at = at
    const rest = {
      endedAt: null,
      medicine: 'as named there',
      lot: null,
      expiry: null,
      reason: null,
      by: null,
    }
    this.#add(
      'outside-record-received',
      { patientId: 'p' },
      {
        administrations: [{ status: 'CP', startedAt: at, ...rest, ...given }],
        observations: [],
      },
    )
    return this
  }

  measured(orderId: string, at: string, values: Measurements): this {
    const about = this.#visit(orderId, at)
    this.#add('measured', about, { when: 'before', values, notMeasured: [], confirmedOdd: [] })
    return this
  }

  door(orderId: string, at = NOON, documents = DOCUMENTS) {
    const found = this.chart.order(orderId)
    if (!found) throw new Error(`no order ${orderId}`)
    return atTheDoor(this.chart, found, documents, at, null)
  }

  /** Code and severity of what the door finds. */
  found(orderId: string, at = NOON): string[] {
    return this.door(orderId, at).findings.map(({ code, severity }) => `${severity} ${code}`)
  }

  #visit(orderId: string, at: string) {
    this.#visits += 1
    this.#writer.at = at
    const about = { patientId: 'p', orderId, visitId: `v${this.#visits}` }
    this.#add('visit-opened', about, { doseAt: null })
    return about
  }

  #add(...fact: Parameters<TestWriter['write']>): void {
    this.chart.add([this.#writer.write(...fact)])
  }
}
