import { BadInput } from '../../clinical/worked.ts'
import { observationSegments, type WrittenObservation } from './write-observations.ts'
import {
  type Coded,
  coded,
  components,
  type Envelope,
  header,
  messageOf,
  number,
  patientSegments,
  segment,
  text,
  time,
  type WrittenPatient,
} from './write-segments.ts'

/** One medicine of a treatment. `amount` null: some was given, how much could not be told. */
export type WrittenMedicine = {
  readonly what: Coded
  readonly amount: number | null
  readonly unit: string
  readonly lot: string | null
  /** YYYY-MM-DD. */
  readonly expiry: string | null
}

/** A dose as it was charted. Status is RXA-20 (table 0322): complete, partial, not given, refused by the patient. */
export type WrittenDose = {
  readonly patient: WrittenPatient
  readonly order: { readonly placer: string; readonly filler: string | null }
  readonly medicines: readonly WrittenMedicine[]
  readonly status: 'CP' | 'PA' | 'NA' | 'RE'
  /** RXA-21: add; update or delete one that was sent before. */
  readonly action: 'A' | 'U' | 'D'
  readonly startedAt: string
  readonly endedAt: string
  readonly enteredAt: string
  readonly by: { readonly id: string; readonly name: string }
  readonly device: Coded | null
  readonly reason: Coded | null
  readonly note: string | null
  readonly observations: readonly WrittenObservation[]
}

const INHALATION: Coded = { code: 'IH', text: 'Inhalation', system: 'HL70162' }
const NEBULIZED: Coded = { code: 'NB', text: 'Nebulized', system: 'HL70165' }

/**
 * RAS^O17: a dose given, partly given, not given or refused; one RXA a medicine, observations behind.
 * @throws BadInput where status, amount, reason and times do not agree: a dose not given has amount 0 and a reason,
 * a complete one has an amount above 0, and nothing ends before it starts
 */
export function writeDose(envelope: Envelope, dose: WrittenDose): string {
  requireAgreement(dose)
  const { patient, order, medicines, device, observations } = dose
  const orc = segment('ORC', {
    1: 'RE',
    2: text(order.placer),
    3: order.filler === null ? '' : text(order.filler),
  })
  return messageOf([
    header(envelope, ['RAS', 'O17']),
    ...patientSegments(patient, envelope.from.facility),
    orc,
    ...medicines.map((medicine, index) => administration(dose, medicine, index + 1, envelope.timeZone)),
    segment('RXR', { 1: coded(INHALATION), 3: device === null ? '' : coded(device), 4: coded(NEBULIZED) }),
    ...observationSegments(observations, envelope.timeZone),
  ])
}

function administration(
  dose: WrittenDose,
  { what, amount, unit, lot, expiry }: WrittenMedicine,
  sequence: number,
  timeZone: string,
): string {
  const { startedAt, endedAt, enteredAt, by, patient, reason, note, status, action } = dose
  const { place } = patient
  return segment('RXA', {
    1: '0',
    2: String(sequence),
    3: time(startedAt, timeZone),
    4: time(endedAt, timeZone),
    5: coded(what),
    // Two quotes say that there is no value; a number here would be taken for a dose.
    6: amount === null ? '""' : number(what.text, amount),
    7: components(unit, null, 'UCUM'),
    9: note === null ? '' : components(null, note),
    10: components(by.id, by.name),
    11: place === null ? '' : components(place.unit, place.room, place.bed),
    15: lot === null ? '' : text(lot),
    16: (expiry ?? '').replaceAll('-', ''),
    18: reason === null ? '' : coded(reason),
    20: status,
    21: action,
    22: time(enteredAt, timeZone),
  })
}

function requireAgreement({ order, medicines, status, reason, startedAt, endedAt }: WrittenDose): void {
  if (order.placer === '') throw new BadInput('order.placer', '', 'the number of the order')
  if (medicines.length === 0) throw new BadInput('medicines', 'none', 'at least one medicine')
  if (!(Date.parse(endedAt) >= Date.parse(startedAt))) {
    throw new BadInput('endedAt', endedAt, `a time at or after the start, ${startedAt}`)
  }
  const notGiven = status === 'NA' || status === 'RE'
  if (notGiven && reason === null) throw new BadInput('reason', null, 'a reason, as the dose was not given')
  for (const { what, amount } of medicines) requireAmount(what.text, amount, status)
}

function requireAmount(field: string, amount: number | null, status: WrittenDose['status']): void {
  const given = amount !== null && amount > 0
  const agrees = status === 'CP' ? given : status === 'PA' ? given || amount === null : amount === 0
  if (agrees) return
  const allowed = { CP: 'above 0', PA: 'above 0, or null when not known', NA: '0', RE: '0' }[status]
  throw new BadInput(`amount of ${field}`, amount, `${allowed}, as the status is ${status}`)
}
