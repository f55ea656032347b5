import type { OrderState } from '../../chart/folds/order.ts'
import type { PatientState } from '../../chart/folds/patient.ts'
import type { Bundle, OwnResource, Reference, Resource } from './resources.ts'
import { type Treatment, treatmentsOf, writeAdministrations } from './write/administration.ts'
import { fhirId, reference, type WriteContext } from './write/basics.ts'
import { writeCautions, writeFindings } from './write/issues.ts'
import { writeBody, writeObservations } from './write/observations.ts'
import { writeRequest } from './write/order.ts'
import {
  writeAllergies,
  writeEncounter,
  writeLocations,
  writePatient,
  writePractitioner,
} from './write/patient.ts'
import { writeProvenance } from './write/provenance.ts'
import { usualWindow, type Window, writeTasks } from './write/tasks.ts'

/** Types that belong to one patient each, in the order in which a bundle of everything has them. */
export const PATIENT_TYPES = [
  'Patient',
  'Encounter',
  'AllergyIntolerance',
  'MedicationRequest',
  'MedicationAdministration',
  'Observation',
  'DetectedIssue',
  'Provenance',
  'Task',
] as const
export type PatientType = (typeof PATIENT_TYPES)[number]
/** Types of the record that belong to no patient. */
export const SHARED_TYPES = ['Practitioner', 'Location'] as const
export type RecordType = PatientType | (typeof SHARED_TYPES)[number]

/** The record as FHIR resources, written from the chart when they are asked for. */
export class FhirRecord {
  readonly #context: WriteContext
  /** Treatments of an order are asked for by several types. */
  readonly #treatments = new Map<string, Treatment[]>()
  constructor(context: WriteContext) {
    this.#context = context
  }

  /**
   * Resources of a type, in order of id: of all patients, or of those named. `window` is the stretch of time whose doses
   * are told of as tasks.
   */
  all(type: RecordType, patientIds?: readonly string[], window?: Window): readonly OwnResource[] {
    const { chart } = this.#context
    const patients = chart
      .patients()
      .filter(({ patientId }) => patientIds === undefined || patientIds.includes(fhirId(patientId)))
    const found =
      type === 'Practitioner'
        ? chart.staff().map((person) => writePractitioner(this.#context, person))
        : type === 'Location'
          ? chart.patients().flatMap(({ place }) => (place ? writeLocations(place) : []))
          : patients.flatMap((patient) => this.#of(type, patient, window))
    const once = new Map(found.map((resource) => [resource.id ?? '', resource as OwnResource]))
    return [...once.values()].sort((a, b) => ((a.id ?? '') < (b.id ?? '') ? -1 : 1))
  }

  /** Everything about one patient, with the people and places that it points at. */
  everything(patientId: string, window?: Window): readonly Resource[] {
    const own = PATIENT_TYPES.flatMap((type) => this.all(type, [patientId], window))
    const pointedAt = new Set(
      JSON.stringify(own).match(/(Practitioner|Location)\/[A-Za-z0-9.-]{1,64}/g) ?? [],
    )
    const shared = SHARED_TYPES.flatMap((type) => this.all(type))
    const byReference = new Map(shared.map((each) => [`${each.resourceType}/${each.id}`, each]))
    for (const target of pointedAt) {
      const inside = byReference.get(target)
      if (inside?.resourceType === 'Location' && inside.partOf?.reference)
        pointedAt.add(inside.partOf.reference)
    }
    return [...own, ...shared.filter(({ resourceType, id }) => pointedAt.has(`${resourceType}/${id}`))]
  }

  #of(type: PatientType, patient: PatientState, window?: Window): readonly Resource[] {
    const context = this.#context
    const orders = () => context.chart.ordersOf(patient.patientId)
    switch (type) {
      case 'Patient':
        return [writePatient(context, patient)]
      case 'Encounter':
        return [writeEncounter(context, patient)]
      case 'AllergyIntolerance':
        return writeAllergies(context, patient)
      case 'MedicationRequest':
        return orders().map((order) => writeRequest(context, order))
      case 'MedicationAdministration':
        return this.#each(orders(), (treatment) => writeAdministrations(context, treatment))
      case 'Observation':
        return [
          ...writeBody(context, patient),
          ...this.#each(orders(), (treatment) =>
            writeObservations(context, treatment.order, treatment.facts, this.#administered(treatment)),
          ),
        ]
      case 'DetectedIssue':
        return [
          ...orders().flatMap((order) => writeFindings(context, order)),
          ...this.#each(orders(), (treatment) =>
            writeCautions(context, treatment, this.#administered(treatment)),
          ),
        ]
      case 'Provenance':
        return this.#each(orders(), (treatment) =>
          writeProvenance(context, treatment, this.#administered(treatment)),
        )
      case 'Task':
        return this.#tasks(orders(), window)
    }
  }

  #each(orders: readonly OrderState[], write: (treatment: Treatment) => readonly Resource[]): Resource[] {
    return orders.flatMap((order) => this.#treatmentsOf(order).flatMap(write))
  }

  #treatmentsOf(order: OrderState): Treatment[] {
    const known = this.#treatments.get(order.orderId) ?? treatmentsOf(this.#context, order)
    this.#treatments.set(order.orderId, known)
    return known
  }

  #administered(treatment: Treatment): Reference[] {
    return writeAdministrations(this.#context, treatment).map(({ id = '' }) =>
      reference('MedicationAdministration', id),
    )
  }

  #tasks(orders: readonly OrderState[], window: Window = usualWindow(this.#context.now)): Resource[] {
    const byOrder = new Map(orders.map((order) => [order.orderId, order]))
    return writeTasks(this.#context, orders, window, ({ orderId, doseAt }) => {
      const order = byOrder.get(orderId)
      const treatment = order && this.#treatmentsOf(order).findLast((each) => each.doseAt === doseAt)
      return treatment ? this.#administered(treatment) : []
    })
  }
}

/** Everything that is known of one patient, in one bundle that another Mistwright, or anybody, can read. */
export function writeCollection(
  context: WriteContext,
  base: string,
  patientId: string,
  window?: Window,
): Bundle {
  return collected(new FhirRecord(context), context, base, patientId, window)
}

/** The whole record: one bundle a patient, with the people and places that it points at. */
export function writeCollections(context: WriteContext, base: string): Bundle[] {
  const record = new FhirRecord(context)
  return record.all('Patient').map(({ id = '' }) => collected(record, context, base, id))
}

function collected(
  record: FhirRecord,
  { now }: WriteContext,
  base: string,
  patientId: string,
  window?: Window,
): Bundle {
  return {
    resourceType: 'Bundle',
    type: 'collection',
    timestamp: now,
    entry: record
      .everything(patientId, window)
      .map((resource) => ({ fullUrl: `${base}/${resource.resourceType}/${resource.id}`, resource })),
  }
}
