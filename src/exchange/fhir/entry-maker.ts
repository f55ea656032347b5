import { canonicalJson } from '../../chart/canonical.ts'
import type { PatientPatch } from '../../chart/facts/census.ts'
import type { Chart } from '../../chart/folds/chart.ts'
import { orderStatusAt, termsAt } from '../../chart/folds/order.ts'
import type { PatientState } from '../../chart/folds/patient.ts'
import { idOfNumber } from '../../chart/ids.ts'
import type { AnyFact, BodyOf } from '../../chart/registry.ts'
import type { DoorSettings, FactMaker } from '../fact-maker.ts'
import type { OrderReading } from '../hl7/read-orders.ts'
import type { EntryReader } from './read/entry-reader.ts'
import type { InBundle } from './read/in-bundle.ts'
import { readAdministration, readBody, readObservation } from './read/read-outside.ts'
import { readAllergy, readEncounter, readPatient } from './read/read-patient.ts'
import { type RequestReading, readRequest } from './read/read-request.ts'
import type {
  AllergyIntolerance,
  Encounter,
  MedicationAdministration,
  MedicationRequest,
  Observation,
  Patient,
  Reference,
  Resource,
} from './resources.ts'
import { encounterId } from './write/patient.ts'

export type MadeOfEntry = { readonly made: readonly AnyFact[]; readonly location: string | null }

const NOTHING: MadeOfEntry = { made: [], location: null }
type Outside = BodyOf<'outside-record-received'>

/** Resources that serve others, or that follow from what is recorded here anyway: nothing is missed without them. */
const TO_BE_EXPECTED = [
  'Practitioner',
  'Location',
  'Organization',
  'Device',
  'Medication',
  'Provenance',
  'Task',
  'AuditEvent',
  'DetectedIssue',
  'OperationOutcome',
]

/** Makes facts of the resources of one bundle, each seeing what the ones before it made. */
export class EntryMaker {
  readonly #maker: FactMaker
  readonly #settings: DoorSettings
  readonly #inBundle: InBundle
  readonly #seen: Chart
  constructor(maker: FactMaker, settings: DoorSettings, inBundle: InBundle, seen: Chart) {
    this.#maker = maker
    this.#settings = settings
    this.#inBundle = inBundle
    this.#seen = seen
  }

  /** @throws FactRefused when something of it goes beyond what a fact may hold */
  make(reader: EntryReader, resource: Resource, index: number): MadeOfEntry {
    switch (resource.resourceType) {
      case 'Patient':
        return this.#patient(reader, resource as Patient, index)
      case 'Encounter':
        return this.#stay(reader, resource as Encounter)
      case 'AllergyIntolerance':
        return this.#allergy(reader, resource as AllergyIntolerance)
      case 'MedicationRequest':
        return this.#request(reader, resource as MedicationRequest)
      case 'MedicationAdministration':
        return this.#administration(reader, resource as MedicationAdministration)
      case 'Observation':
        return this.#observation(reader, resource as Observation)
      default:
        if (TO_BE_EXPECTED.includes(resource.resourceType))
          reader.note(`a ${resource.resourceType} is kept and not interpreted here`)
        else reader.warn(`a ${resource.resourceType} is kept and not interpreted here: look at it`)
        return NOTHING
    }
  }

  #patient(reader: EntryReader, given: Patient, index: number): MadeOfEntry {
    const read = readPatient(reader, given)
    if (!read || reader.problems.length > 0) return NOTHING
    const patientId = idOfNumber('patient', this.#settings.writer.facility, read.mrn)
    this.#inBundle.tookIn(index, patientId)
    const made = this.#census(patientId, 'updated', read.patch, null)
    return { made, location: `Patient/${patientId}` }
  }

  #stay(reader: EntryReader, given: Encounter): MadeOfEntry {
    const patientId = this.#inBundle.patientId(reader, 'subject', given.subject, this.#seen)
    const read = readEncounter(reader, given, this.#inBundle.locationOf(given))
    if (!read || patientId === null || reader.problems.length > 0) return NOTHING
    const known = this.#seen.patient(patientId)
    const { visitNumber, admittedAt, place } = read.patch
    const isKnownOver =
      known.dischargedAt !== null && visitNumber !== undefined && visitNumber === known.visitNumber
    if (isKnownOver && !read.isOver) {
      reader.wrong(
        'business-rule',
        'status',
        `stay ${visitNumber} has ended here; say by the census if it goes on`,
      )
      return NOTHING
    }
    const isNew = known.dischargedAt !== null || (admittedAt !== undefined && admittedAt !== known.admittedAt)
    const event = read.isOver ? 'discharged' : isNew ? 'admitted' : place ? 'moved' : 'updated'
    const made = this.#census(patientId, event, read.patch, null)
    return { made, location: `Encounter/${encounterId(patientId)}` }
  }

  /** Added to those that are known; a list may have come in pieces, so none is taken away. */
  #allergy(reader: EntryReader, given: AllergyIntolerance): MadeOfEntry {
    const patientId = this.#inBundle.patientId(reader, 'patient', given.patient, this.#seen)
    const allergy = readAllergy(reader, given)
    if (!allergy || patientId === null || reader.problems.length > 0) return NOTHING
    const known = this.#seen.patient(patientId).allergies ?? []
    if (known.some(({ code, text }) => code === allergy.code && text === allergy.text)) return NOTHING
    return {
      made: this.#census(patientId, 'updated', { allergies: [...known, allergy] }, null),
      location: null,
    }
  }

  /** What the census says, as far as it is news. */
  #census(
    patientId: string,
    event: BodyOf<'census-updated'>['event'],
    patch: PatientPatch,
    at: string | null,
  ): AnyFact[] {
    const known = this.#seen.patient(patientId)
    const news = newsIn(patch, known)
    const comesBack = event === 'admitted' && known.dischargedAt !== null
    if (Object.keys(news).length === 0 && !comesBack) return []
    return [this.#maker.write('census-updated', { patientId }, { event, patch: news }, at)]
  }

  #request(reader: EntryReader, given: MedicationRequest): MadeOfEntry {
    const { writer, timeZone, codes } = this.#settings
    const patientId = this.#inBundle.patientId(reader, 'subject', given.subject, this.#seen)
    const medicationOf = this.#inBundle.medicationOf(given)
    const read = readRequest(reader, given, {
      timeZone: timeZone(this.#seen),
      codes: codes(this.#seen),
      medicationOf,
    })
    if (!read || patientId === null) return NOTHING
    const orderId = idOfNumber('order', writer.facility, read.placer)
    const known = this.#seen.order(orderId)
    if (known && known.patientId !== patientId)
      reader.wrong('business-rule', 'identifier', `order ${read.placer} is another patient's`)
    const isOver = known !== null && orderStatusAt(known, this.#maker.now()) === 'discontinued'
    if (isOver && read.status !== 'stopped')
      reader.wrong('business-rule', 'status', `order ${read.placer} was stopped here; send a new order`)
    if (reader.problems.length > 0) return NOTHING
    const made = this.#acts(read, orderId).flatMap((act) =>
      this.#maker.order(patientId, act, this.#seen, 'fhir'),
    )
    return { made, location: `MedicationRequest/${orderId}` }
  }

  /** What is to be done so that the order stands as the request says; nothing where it does already. */
  #acts(read: RequestReading, orderId: string): OrderReading[] {
    const known = this.#seen.order(orderId)
    const { placer, order, status, statusSince, statusReason, writtenAt } = read
    const shared = {
      placer,
      filler: order.filler,
      effectiveAt: statusSince,
      reason: statusReason,
      order: null,
    }
    const isHeld = known !== null && known.holds.at(-1)?.to === null
    const isStopped = known?.discontinued != null
    const terms = known && termsAt(known, known.terms.at(-1)?.from ?? known.placedAt)
    const acts: OrderReading[] = []
    if (!known) acts.push({ ...shared, act: 'new', effectiveAt: null, order, writtenAt })
    else if (!isStopped && canonicalJson(terms) !== canonicalJson(order))
      acts.push({ ...shared, act: 'change', effectiveAt: null, order })
    if (status === 'held' && !isHeld) acts.push({ ...shared, act: 'hold' })
    if (status === 'active' && isHeld) acts.push({ ...shared, act: 'release' })
    if (status === 'stopped' && !isStopped) acts.push({ ...shared, act: 'discontinue' })
    return acts
  }

  #administration(reader: EntryReader, given: MedicationAdministration): MadeOfEntry {
    const patientId = this.#inBundle.patientId(reader, 'subject', given.subject, this.#seen)
    if (this.#isOurOwn(given.id)) return this.#known(reader)
    const read = readAdministration(reader, given, this.#inBundle.medicationOf(given))
    if (!read || patientId === null || reader.problems.length > 0) return NOTHING
    const about = { patientId, ...this.#orderOf(given.request) }
    const at = read.startedAt ?? read.endedAt
    return this.#outside(reader, about, { administrations: [read], observations: [] }, at)
  }

  #observation(reader: EntryReader, given: Observation): MadeOfEntry {
    const patientId = this.#inBundle.patientId(reader, 'subject', given.subject, this.#seen)
    if (this.#isOurOwn(given.id)) return this.#known(reader)
    const body = readBody(reader, given)
    if (patientId === null || reader.problems.length > 0) return NOTHING
    if (body) return { made: this.#census(patientId, 'updated', body.patch, body.at), location: null }
    const observations = readObservation(reader, given)
    if (observations.length === 0 || reader.problems.length > 0) return NOTHING
    return this.#outside(
      reader,
      { patientId },
      { administrations: [], observations },
      observations[0]?.at ?? null,
    )
  }

  /** The record of this hospital, come back: it must not count a second time. */
  #isOurOwn(id: string | undefined): boolean {
    const [first = ''] = /^[^.]+/.exec(id ?? '') ?? []
    return this.#seen.fact(first) !== undefined || this.#seen.visit(first) !== null
  }

  #known(reader: EntryReader): MadeOfEntry {
    reader.note('this is on record here already; nothing was made of it')
    return NOTHING
  }

  /** The order that was given, where it is known here. */
  #orderOf(request: Reference | undefined): { readonly orderId?: string } {
    const { reference } = request ?? {}
    const inBundle = this.#inBundle.resource(reference)
    const numbers =
      inBundle?.resourceType === 'MedicationRequest' ? ((inBundle as MedicationRequest).identifier ?? []) : []
    const ids = [
      /^MedicationRequest\/([A-Za-z0-9.-]{1,64})$/.exec(reference ?? '')?.[1],
      ...numbers.flatMap(({ value }) =>
        value ? idOfNumber('order', this.#settings.writer.facility, value) : [],
      ),
    ]
    const orderId = ids.find((id) => id !== undefined && this.#seen.order(id) !== null)
    return orderId === undefined ? {} : { orderId }
  }

  /** The very same record of another system counts once, in whichever bundle it comes. */
  #outside(
    reader: EntryReader,
    about: { readonly patientId: string; readonly orderId?: string },
    outside: Outside,
    at: string | null,
  ): MadeOfEntry {
    const said = canonicalJson(outside)
    const before = this.#seen
      .factsAbout('patient', about.patientId)
      .some((fact) => fact.kind === 'outside-record-received' && canonicalJson(fact.body) === said)
    if (before) return this.#known(reader)
    return { made: [this.#maker.write('outside-record-received', about, outside, at)], location: null }
  }
}

/** Of a patch, what the chart does not know yet. */
function newsIn({ identifiers, ...patch }: PatientPatch, known: PatientState): PatientPatch {
  const isKnown = (one: NonNullable<PatientPatch['identifiers']>[number]) =>
    known.identifiers.some(({ type, value }) => type === one.type && value === one.value)
  const news = Object.entries(patch).filter(
    ([key, value]) => canonicalJson(known[key as keyof PatientState]) !== canonicalJson(value),
  )
  return {
    ...Object.fromEntries(news),
    ...(identifiers !== undefined && !identifiers.every(isKnown) && { identifiers }),
  }
}
