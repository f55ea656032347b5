import { doorFindings, equipmentFor, type Formulary } from '../../clinical/medicine/index.ts'
import type { Isolation } from '../documents/isolation.ts'
import { precautionsFor } from '../documents/isolation.ts'
import type { MedicineCodes } from '../documents/medicine-codes.ts'
import type { Site } from '../documents/site.ts'
import type { OrderBody } from '../facts/orders.ts'
import type { Chart } from '../folds/chart.ts'
import { lastGivenAt } from '../folds/doses.ts'
import { type OrderState, openFindings, orderStatusAt, termsAt } from '../folds/order.ts'
import type { PatientState } from '../folds/patient.ts'
import { spoken } from '../stages/door.ts'
import type { DueDose } from '../timing/doses-due.ts'
import { clockFindings } from './clock-findings.ts'
import { type BedsideFinding, bedsideFinding, sentence } from './finding.ts'
import { type GivenBefore, givenBefore } from './given-before.ts'
import { lastMeasuredOf } from './last-measured.ts'
import { otherOrders } from './order-to-review.ts'
import { timingFindings } from './timing-findings.ts'

/** What the door shows. */
export type DoorView = {
  readonly orderStatus: string
  readonly minutesSinceLastDose: number | null
  readonly findings: readonly BedsideFinding[]
  readonly precautions: {
    readonly names: readonly string[]
    readonly rooms: readonly string[]
    readonly putOn: readonly string[]
    readonly takeOff: readonly string[]
  }
  readonly equipment: readonly string[]
}

/** The department's documents that the door reads. */
type DoorDocuments = {
  readonly formulary: Formulary
  readonly isolation: Isolation
  readonly site: Site
  readonly codes: MedicineCodes
}

/**
 * Is the order in force, how long since the last dose, what speaks against it now, what to put on, what to bring.
 * @param dose the dose that is due, with its window and what a change of clock asks of it; null for an as-needed one
 */
export function atTheDoor(
  chart: Chart,
  order: OrderState,
  documents: DoorDocuments,
  at: string,
  dose: Pick<DueDose, 'window' | 'questions'> | null,
): DoorView {
  const { formulary } = documents
  const patient = chart.patient(order.patientId)
  const terms = termsAt(order, at)
  const medicineIds = medicineIdsOf(terms)
  const last = lastGivenAt(chart, order.patientId, medicineIds, at)
  const before = givenBefore(chart, order.patientId, at, documents)
  const { names, rooms, putOn, takeOff } = precautions(patient, documents)
  return {
    orderStatus: orderStatusAt(order, at),
    minutesSinceLastDose: last === null ? null : (Date.parse(at) - Date.parse(last)) / 60_000,
    findings: [
      ...clockFindings(dose),
      ...earlyFinding(dose?.window ?? null, at),
      ...openFindings(order).map((finding) => ({
        ...finding,
        what: sentence(finding.what),
        code: `order:${finding.code}`,
        why: `${finding.why} The ${finding.whoMustAnswer} has not answered yet.`,
      })),
      ...timingFindings(formulary, { terms, patient, before, at }),
      ...chartFindings(formulary, chart, order, before, at),
    ],
    precautions: { names, rooms, putOn, takeOff },
    equipment: equipmentList(formulary, medicineIds, patient),
  }
}

/**
 * What the formulary and the chart will say against a dose before anybody stands at the door: gaps, totals of 24
 * hours, days off of a course, contraindications and cautions, as they stand by what is on record now. Notes are left
 * for the door.
 * @param at when it is to be given; for one that is overdue, now
 * @param dose the dose that is due; null for an as-needed one
 */
export function aheadOfTheDoor(
  chart: Chart,
  order: OrderState,
  documents: Pick<DoorDocuments, 'formulary' | 'codes'>,
  at: string,
  dose: Pick<DueDose, 'questions'> | null = null,
): readonly BedsideFinding[] {
  const { formulary } = documents
  const before = givenBefore(chart, order.patientId, at, documents)
  const asked = { terms: termsAt(order, at), patient: chart.patient(order.patientId), before, at }
  return [
    ...clockFindings(dose),
    ...timingFindings(formulary, asked),
    ...chartFindings(formulary, chart, order, before, at),
  ].filter(({ severity }) => severity !== 'note')
}

function medicineIdsOf({ medicines }: OrderBody): string[] {
  return medicines.filter(({ part }) => part === 'medicine').flatMap(({ medicineId }) => medicineId ?? [])
}

/** Contraindications, cautions and rules, medicine by medicine: each against what is given besides it. */
function chartFindings(
  formulary: Formulary,
  chart: Chart,
  order: OrderState,
  { doses }: GivenBefore,
  at: string,
): BedsideFinding[] {
  const patient = chart.patient(order.patientId)
  const terms = termsAt(order, at)
  const medicineIds = medicineIdsOf(terms)
  const others = otherOrders(chart, order.patientId, order.orderId, at, ['active'])
  const measured = lastMeasuredOf(chart, patient, at)
  const dayBefore = new Date(Date.parse(at) - 24 * 3_600_000).toISOString()
  const found = medicineIds.flatMap((medicineId) =>
    doorFindings(formulary, {
      medicineIds: [medicineId],
      conditions: patient.conditions,
      taking: [terms, ...others]
        .flatMap(({ medicines }) => medicines)
        .filter((line) => line.medicineId !== medicineId || !terms.medicines.includes(line))
        .map((line) => ({ medicineId: line.medicineId, name: line.text })),
      indication: terms.indication,
      mixed: medicineIds.length > 1,
      measured,
      dosesBefore: doses.filter((dose) => dose.medicineId === medicineId && dose.at > dayBefore).length,
    }),
  )
  const once = new Map(found.map((finding) => [finding.code, finding]))
  return [...once.values()].filter(({ severity }) => severity !== 'note').map(bedsideFinding)
}

function precautions(patient: PatientState, { isolation, site }: DoorDocuments) {
  const generating = site.nebulizingIsAerosolGenerating.byCategory
    .filter(({ counts }) => counts)
    .map(({ category }) => category)
  return precautionsFor(patient.isolation, isolation, new Set(generating))
}

function equipmentList(
  formulary: Formulary,
  medicineIds: readonly string[],
  patient: PatientState,
): string[] {
  const asked = equipmentFor(formulary, medicineIds)
  return [
    'flow meter',
    patient.airway === null || patient.airway === 'natural'
      ? 'nebulizer with mouthpiece and mask'
      : 'nebulizer and adapter for the airway',
    'pulse oximeter',
    'stethoscope',
    'peak-flow meter',
    ...asked.requirements.filter(({ need }) => need !== 'advised').map(({ what }) => what),
  ]
}

/** A visit begun before the dose's window opens is asked about, never stopped: the patient may need it. */
function earlyFinding(window: DueDose['window'] | null, at: string): BedsideFinding[] {
  if (window === null || at >= window.earliest) return []
  const minutes = Math.round((Date.parse(window.earliest) - Date.parse(at)) / 60_000)
  return [
    {
      code: 'before-window',
      severity: 'ask',
      what: `The window of this dose opens in ${spoken(minutes)}.`,
      why: 'Given now it is an early dose, and the next one may come too close.',
      sources: ['The department’s document Windows'],
    },
  ]
}
