import type { OrderBody, OrderedMedicine } from '../../../chart/facts/orders.ts'
import { type OrderState, orderStatusAt, termsAt } from '../../../chart/folds/order.ts'
import { EXTENSION, OURS, SYSTEM } from '../codes.ts'
import type { CodeableConcept, Dosage, Medication, MedicationRequest } from '../resources.ts'
import { writeAsNeeded, writeTiming } from '../timing.ts'
import { coded, fhirId, metaOf, quantity, reference, type WriteContext } from './basics.ts'
import { encounterId } from './patient.ts'

const STATUS = {
  'not begun': 'active',
  active: 'active',
  'on hold': 'on-hold',
  discontinued: 'stopped',
  ended: 'completed',
} as const

/** An order by the terms in force, with when its status came to be so. */
export function writeRequest(context: WriteContext, state: OrderState): MedicationRequest {
  const { chart, facility, now } = context
  const order = termsAt(state, now)
  const status = orderStatusAt(state, now)
  const since = statusSince(state, now)
  const reason = state.discontinued?.reason ?? state.holds.at(-1)?.reason ?? null
  const facts = chart.factsAbout('order', state.orderId).filter(({ kind }) => kind.startsWith('order-'))
  const { patientId } = state
  return {
    resourceType: 'MedicationRequest',
    id: fhirId(state.orderId),
    ...metaOf(facts),
    ...(isMixture(order) && { contained: [mixture(order.medicines)] }),
    ...(since !== null && { extension: [{ url: EXTENSION.statusChanged, valueDateTime: since }] }),
    identifier: [
      { type: coded(SYSTEM.identifierType, 'PLAC'), system: OURS.order(facility), value: order.placer },
      ...(order.filler === null
        ? []
        : [
            { type: coded(SYSTEM.identifierType, 'FILL'), system: OURS.order(facility), value: order.filler },
          ]),
    ],
    status: STATUS[status],
    ...(since !== null && reason !== null && { statusReason: { text: reason } }),
    intent: 'order',
    priority: order.priority,
    ...(isMixture(order)
      ? { medicationReference: { reference: '#mixture', display: order.title } }
      : { medicationCodeableConcept: medicineConcept(order.medicines[0], order.title) }),
    subject: reference('Patient', patientId),
    encounter: { reference: `Encounter/${encounterId(patientId)}` },
    authoredOn: state.placedAt,
    ...(order.prescriber !== null && { requester: requesterOf(order.prescriber, facility) }),
    ...(order.indication !== null && { reasonCode: [{ text: order.indication }] }),
    ...(order.group !== null && { groupIdentifier: { system: OURS.order(facility), value: order.group } }),
    dosageInstruction: [dosageOf(order)],
  }
}

/** Since when an order is held or stopped; null while it is neither. */
function statusSince(state: OrderState, now: string): string | null {
  switch (orderStatusAt(state, now)) {
    case 'discontinued':
      return state.discontinued?.at ?? null
    case 'on hold':
      return state.holds.at(-1)?.from ?? null
    default:
      return null
  }
}

function requesterOf({ id, name }: NonNullable<OrderBody['prescriber']>, facility: string) {
  return {
    type: 'Practitioner',
    ...(id !== '' && { identifier: { system: OURS.person(facility), value: id } }),
    ...(name !== '' && { display: name }),
  }
}

/** A medicine by the hospital's own code and its name. */
export function medicineConcept(medicine: OrderedMedicine | undefined, title?: string): CodeableConcept {
  const { code = '', text = '' } = medicine ?? {}
  return {
    ...(code !== '' && { coding: [{ system: OURS.medicine, code, display: text }] }),
    text: title ?? text,
  }
}

/** Several parts, or one that only makes up the volume: neither can be said as one coded medicine. */
function isMixture({ medicines }: OrderBody): boolean {
  return medicines.length > 1 || medicines[0]?.part === 'diluent'
}

const DOSE = { value: 1, unit: 'dose', system: SYSTEM.ucum, code: '{dose}' } as const

/** What goes into one cup together: each part with its amount a dose, and whether it acts or only makes up the volume. */
function mixture(medicines: readonly OrderedMedicine[]): Medication {
  return {
    resourceType: 'Medication',
    id: 'mixture',
    ingredient: medicines.map((medicine) => ({
      ...(medicine.amountMax !== null && {
        extension: [
          { url: EXTENSION.amountMost, valueQuantity: quantity(medicine.amountMax, medicine.unit) },
        ],
      }),
      itemCodeableConcept: medicineConcept(medicine),
      isActive: medicine.part === 'medicine',
      ...(medicine.amountMin !== null && {
        strength: { numerator: quantity(medicine.amountMin, medicine.unit), denominator: DOSE },
      }),
    })),
  }
}

/** How it is to be given. The sentence is ours; a reader who takes the parts needs it no more. */
function dosageOf(order: OrderBody): Dosage {
  const asNeeded = writeAsNeeded(order)
  const timing = writeTiming(order)
  const extension = [
    ...(asNeeded.extension ?? []),
    ...(order.device === null ? [] : [{ url: EXTENSION.device, valueString: order.device }]),
  ]
  const dose = doseOf(order)
  return {
    ...asNeeded,
    ...(extension.length > 0 && { extension }),
    text: dosageText(order),
    ...(order.instruction !== null && { additionalInstruction: [{ text: order.instruction }] }),
    ...(Object.keys(timing).length > 0 && { timing }),
    ...(order.route !== null && { route: routeOf(order.route) }),
    ...(order.method !== null && { method: { text: order.method } }),
    ...(dose && { doseAndRate: [dose] }),
  }
}

function routeOf(route: string): CodeableConcept {
  const inhaled = /^inhal/i.test(route)
  return {
    ...(inhaled && { coding: [{ system: SYSTEM.route, code: 'IH', display: 'Inhalation' }] }),
    text: route,
  }
}

function doseOf(order: OrderBody) {
  if (isMixture(order)) return { doseQuantity: DOSE }
  const [medicine] = order.medicines
  if (!medicine || medicine.amountMin === null) return null
  const { amountMin, amountMax, unit } = medicine
  if (amountMax === null) return { doseQuantity: quantity(amountMin, unit) }
  return { doseRange: { low: quantity(amountMin, unit), high: quantity(amountMax, unit) } }
}

/** "albuterol 2.5 mg, QID, as needed for wheeze": the sentence that stands beside the parts. */
export function dosageText({
  title,
  frequency,
  prn,
  route,
}: Pick<OrderBody, 'title' | 'frequency' | 'prn' | 'route'>): string {
  const needed = prn === null ? null : prn.reason === null ? 'as needed' : `as needed for ${prn.reason}`
  return [title, route, frequency?.code, needed].filter(Boolean).join(', ')
}
