import type { OrderedMedicine } from '../../../chart/facts/orders.ts'
import { type OrderState, termsAt } from '../../../chart/folds/order.ts'
import { runPhase } from '../../../chart/folds/run.ts'
import { type Entry, foldVisit, type VisitState } from '../../../chart/folds/visit.ts'
import type { AnyFact, BodyOf } from '../../../chart/registry.ts'
import { EXTENSION, OURS, SYSTEM } from '../codes.ts'
import type { Extension, MedicationAdministration } from '../resources.ts'
import {
  coded,
  fhirId,
  metaOf,
  ours,
  personReference,
  quantity,
  reference,
  type WriteContext,
} from './basics.ts'
import { medicineConcept } from './order.ts'
import { encounterId } from './patient.ts'

/** What was charted of one treatment: a visit, or a dose not given without one. */
export type Treatment = {
  readonly id: string
  readonly order: OrderState
  readonly doseAt: string | null
  readonly visit: VisitState | null
  readonly notGiven: Entry<'dose-not-given'> | null
  readonly facts: readonly AnyFact[]
}

/** All treatments of an order, visits first; those charted by mistake too. */
export function treatmentsOf({ chart }: WriteContext, order: OrderState): Treatment[] {
  const visits = chart.visitsOf(order.orderId).map((visit) => ({
    id: visit.visitId,
    order,
    doseAt: visit.doseAt,
    visit,
    notGiven: visit.notGiven,
    facts: chart.factsAbout('visit', visit.visitId),
  }))
  const facts = chart.factsAbout('order', order.orderId)
  const alone = facts.flatMap((fact) => {
    if (fact.kind !== 'dose-not-given' || fact.about.visitId !== undefined) return []
    const beside = facts.filter(({ corrects }) => corrects === fact.id)
    const notGiven = { factId: fact.id, at: fact.happenedAt, by: fact.by, body: fact.body }
    return [{ id: fact.id, order, doseAt: fact.body.doseAt, visit: null, notGiven, facts: [fact, ...beside] }]
  })
  return [...visits, ...alone]
}

type Standing = {
  readonly status: MedicationAdministration['status']
  readonly more: Partial<MedicationAdministration>
  readonly given: BodyOf<'treatment-ended'>['given'] | null
  readonly how: BodyOf<'treatment-ended'>['how'] | null
}

/** One administration for each medicine of a treatment; none while nothing has been given or left out yet. */
export function writeAdministrations(
  context: WriteContext,
  treatment: Treatment,
): MedicationAdministration[] {
  const { order, facts, doseAt } = treatment
  const standing = standingOf(context, treatment)
  if (!standing) return []
  const { status, more, given, how } = standing
  const at = more.effectivePeriod?.start ?? more.effectiveDateTime ?? context.now
  const terms = termsAt(order, doseAt ?? at)
  return terms.medicines.flatMap((medicine, index) => {
    if (medicine.part !== 'medicine') return []
    const what = given?.find(({ medicineId }) => medicineId === medicine.medicineId) ?? null
    return [
      {
        resourceType: 'MedicationAdministration' as const,
        id: administrationId(treatment.id, index),
        ...metaOf(facts),
        ...(doseAt !== null && { extension: [{ url: EXTENSION.dueAt, valueDateTime: doseAt }] }),
        status,
        category: coded(SYSTEM.administrationCategory, 'inpatient', 'Inpatient'),
        ...medicationOf(medicine, treatment.visit),
        subject: reference('Patient', order.patientId),
        context: { reference: `Encounter/${encounterId(order.patientId)}` },
        request: reference('MedicationRequest', order.orderId),
        ...more,
        ...(what && dosageOf(what, how, terms.route)),
      },
    ]
  })
}

export function administrationId(treatmentId: string, index: number): string {
  return fhirId(`${fhirId(treatmentId)}.${index + 1}`)
}

function medicationOf(
  medicine: OrderedMedicine,
  visit: VisitState | null,
): Partial<MedicationAdministration> {
  const concept = medicineConcept(medicine)
  const pack = visit?.medicines.find(({ body }) => body.medicineId === medicine.medicineId)?.body
  if (!pack) return { medicationCodeableConcept: concept }
  const { lot, expiry } = pack
  const batch = { ...(lot !== null && { lotNumber: lot }), expirationDate: expiry }
  return {
    contained: [{ resourceType: 'Medication', id: 'given', code: concept, batch }],
    medicationReference: { reference: '#given', display: medicine.text },
  }
}

/** What came out of the cup. When that is not known, nothing is said of an amount. */
function dosageOf(
  { nominal, outOfCup, unit }: BodyOf<'treatment-ended'>['given'][number],
  how: BodyOf<'treatment-ended'>['how'] | null,
  route: string | null,
): Partial<MedicationAdministration> {
  const amount = how === 'finished' ? nominal : outOfCup
  if (amount === null)
    return { note: [{ text: `Of ${nominal} ${unit} some was given; how much is not known.` }] }
  const extension: Extension[] =
    amount === nominal ? [] : [{ url: EXTENSION.nominal, valueQuantity: quantity(nominal, unit) }]
  return {
    dosage: {
      ...(extension.length > 0 && { extension }),
      ...(route !== null && { route: { text: route } }),
      method: coded(SYSTEM.routeMethod, 'NB', 'Nebulized'),
      dose: quantity(amount, unit),
    },
  }
}

/** Where a treatment stands, and what of it every one of its medicines shares; null when nothing is to be told yet. */
function standingOf(context: WriteContext, treatment: Treatment): Standing | null {
  const { visit, notGiven, facts } = treatment
  const struck = facts.find((fact) => fact.kind === 'entry-struck' && fact.corrects === notGiven?.factId)
  if (notGiven && !struck) return notDone(context, notGiven)
  if (visit === null) return notGiven ? mistaken(notDone(context, notGiven), struck) : null
  const { run, ended, note } = visit
  if (run.startedAt !== null && ended !== null) return given(context, visit, run.startedAt, ended, note)
  const withdrawn = beforeStrike(facts)
  if (withdrawn) {
    const was = standingOf(context, { ...treatment, ...withdrawn })
    return (
      was &&
      mistaken(
        was,
        facts.find(({ kind }) => kind === 'entry-struck'),
      )
    )
  }
  if (run.startedAt === null) return null
  return {
    status: runPhase(run) === 'paused' ? 'on-hold' : 'in-progress',
    more: { effectivePeriod: { start: run.startedAt } },
    given: null,
    how: null,
  }
}

function notDone(context: WriteContext, { at, by, body }: Entry<'dose-not-given'>): Standing {
  const words = [body.note, body.next === 'none needed' ? '' : `Next: ${body.next}`].filter(Boolean)
  return {
    status: 'not-done',
    more: {
      statusReason: [ours(OURS.notGiven, body.reason)],
      effectiveDateTime: at,
      performer: [{ actor: personReference(context, by.personId) }],
      ...(words.length > 0 && { note: words.map((text) => ({ text })) }),
    },
    given: null,
    how: null,
  }
}

/** A treatment counts as given once its note is signed, a learner's once it is co-signed. */
function given(
  context: WriteContext,
  visit: VisitState,
  startedAt: string,
  ended: Entry<'treatment-ended'>,
  note: VisitState['note'],
): Standing {
  const isSigned = note !== null && !note.needsCosign
  const { how, given: what } = ended.body
  const waits = note === null ? 'The note is not signed yet.' : 'The note waits for a second signature.'
  const who = note?.signed ?? ended
  const words = [...(isSigned ? [] : [waits]), ended.body.next].filter(Boolean)
  return {
    status: !isSigned ? 'in-progress' : how === 'finished' ? 'completed' : 'stopped',
    more: {
      effectivePeriod: { start: startedAt, end: visit.run.endedAt ?? ended.at },
      performer: [{ actor: personReference(context, who.by.personId, note?.signed.body.printedName) }],
      ...(words.length > 0 && { note: words.map((text) => ({ text })) }),
    },
    given: what,
    how,
  }
}

function mistaken(was: Standing, struck: AnyFact | undefined): Standing {
  const reason = struck?.kind === 'entry-struck' ? struck.body.reason : 'charted by mistake'
  return { ...was, status: 'entered-in-error', more: { ...was.more, statusReason: [{ text: reason }] } }
}

/** The treatment as it stood before somebody struck its end or its start; null when neither was struck. */
function beforeStrike(facts: readonly AnyFact[]): Pick<Treatment, 'visit' | 'notGiven' | 'facts'> | null {
  const strikes = facts.filter(({ kind }) => kind === 'entry-struck')
  const kinds = ['treatment-ended', 'treatment-started', 'dose-not-given']
  const isOfTheDose = strikes.some(({ corrects }) =>
    facts.some(({ id, kind }) => id === corrects && kinds.includes(kind)),
  )
  if (!isOfTheDose) return null
  const before = facts.filter(({ kind }) => kind !== 'entry-struck')
  const visit = foldVisit(before[0]?.about.visitId ?? '', before)
  return visit && { visit, notGiven: visit.notGiven, facts: before }
}
