import type { OrderState } from '../../../chart/folds/order.ts'
import type { PatientState } from '../../../chart/folds/patient.ts'
import { standing } from '../../../chart/folds/standing.ts'
import type { AnyFact, BodyOf } from '../../../chart/registry.ts'
import { OURS, SYSTEM } from '../codes.ts'
import type { CodeableConcept, Observation, Reference } from '../resources.ts'
import { coded, fhirId, personReference, quantity, reference, type WriteContext } from './basics.ts'
import { OBSERVATION_KINDS, type ObservationKind } from './observation-kinds.ts'
import { encounterId } from './patient.ts'

type MeasuredFact = Extract<AnyFact, { kind: 'measured' }>

const VITAL = coded(SYSTEM.observationCategory, 'vital-signs', 'Vital Signs')
const EXAM = coded(SYSTEM.observationCategory, 'exam', 'Exam')
const WORDS = { before: 'before', 'part-way': 'during', 'at stop': 'when stopped', after: 'after' } as const

/**
 * The measurements of a treatment. A set that was put right later keeps the ids of the one it corrects, with the status
 * `corrected`; what stands no more is `entered-in-error`.
 * @param partOf the administrations that they belong to
 */
export function writeObservations(
  context: WriteContext,
  order: OrderState,
  facts: readonly AnyFact[],
  partOf: readonly Reference[],
): Observation[] {
  const measured = facts.filter((fact) => fact.kind === 'measured')
  const stand = new Set(standing(facts).map(({ id }) => id))
  const roots = measured.filter(({ corrects }) => !measured.some(({ id }) => id === corrects))
  return roots.flatMap((root) => {
    const versions = versionsOf(root, measured)
    const now = versions.find(({ id }) => stand.has(id)) ?? null
    const shared = { context, order, root, partOf, struckAt: struckAt(versions, facts) }
    return OBSERVATION_KINDS.flatMap((kind) => one(shared, kind, versions, now))
  })
}

/** A set of measurements and everything that corrects it, in the order of writing. */
function versionsOf(root: MeasuredFact, measured: readonly MeasuredFact[]): MeasuredFact[] {
  const versions = [root]
  for (const version of versions)
    versions.push(
      ...measured.filter(
        ({ corrects, id }) => corrects === version.id && !versions.some((each) => each.id === id),
      ),
    )
  return versions
}

function struckAt(versions: readonly MeasuredFact[], facts: readonly AnyFact[]): string | null {
  const strike = facts.find(
    ({ kind, corrects }) => kind === 'entry-struck' && versions.some(({ id }) => id === corrects),
  )
  return strike?.recordedAt ?? null
}

type Shared = {
  readonly context: WriteContext
  readonly order: OrderState
  readonly root: MeasuredFact
  readonly partOf: readonly Reference[]
  readonly struckAt: string | null
}

function one(
  shared: Shared,
  kind: ObservationKind,
  versions: readonly MeasuredFact[],
  now: MeasuredFact | null,
): Observation[] {
  if (now && says(kind, now.body)) {
    return [written(shared, kind, now, now === shared.root ? 'final' : 'corrected')]
  }
  const before = versions.findLast(({ body }) => says(kind, body))
  return before ? [written(shared, kind, before, 'entered-in-error', now?.recordedAt ?? shared.struckAt)] : []
}

function says(kind: ObservationKind, { values, notMeasured }: BodyOf<'measured'>): boolean {
  return kind.value(values) !== null || notMeasured.some(({ measure }) => measure === kind.key)
}

function written(
  { context, order, root, partOf }: Shared,
  kind: ObservationKind,
  fact: MeasuredFact,
  status: Observation['status'],
  changedAt: string | null = null,
): Observation {
  const { values, notMeasured, when } = fact.body
  const value = kind.value(values)
  const why = notMeasured.find(({ measure }) => measure === kind.key)?.why
  const phase: CodeableConcept = {
    coding: [{ system: OURS.phase, code: when.replaceAll(' ', '-') }],
    text: `${WORDS[when]} treatment`,
  }
  return {
    resourceType: 'Observation',
    id: fhirId(`${fhirId(root.id)}.${kind.key}`),
    meta: { lastUpdated: changedAt ?? fact.recordedAt },
    ...(partOf.length > 0 && { partOf }),
    status,
    category: [kind.isVital ? VITAL : EXAM, phase],
    code: kind.code,
    subject: reference('Patient', order.patientId),
    encounter: { reference: `Encounter/${encounterId(order.patientId)}` },
    effectiveDateTime: fact.happenedAt,
    issued: fact.recordedAt,
    performer: [personReference(context, fact.by.personId)],
    ...(value ?? {
      dataAbsentReason: {
        coding: [{ system: SYSTEM.absent, code: 'not-performed', display: 'Not Performed' }],
        text: why ?? 'not measured',
      },
    }),
  }
}

const BODY = [
  { key: 'weightKg', code: '29463-7', text: 'Body weight', unit: 'kg' },
  { key: 'heightCm', code: '8302-2', text: 'Body height', unit: 'cm' },
] as const

/** Weight and height as the census told them last. */
export function writeBody({ chart }: WriteContext, patient: PatientState): Observation[] {
  const { patientId } = patient
  const told = standing(chart.factsAbout('patient', patientId)).filter(
    (fact) => fact.kind === 'census-updated',
  )
  return BODY.flatMap(({ key, code, text, unit }) => {
    const value = patient[key]
    const fact = told.findLast(({ body }) => body.patch[key] !== undefined)
    if (value === null || !fact) return []
    return [
      {
        resourceType: 'Observation' as const,
        id: fhirId(`${fhirId(fact.id)}.${key}`),
        meta: { lastUpdated: fact.recordedAt },
        status: 'final',
        category: [VITAL],
        code: { coding: [{ system: SYSTEM.loinc, code }], text },
        subject: reference('Patient', patientId),
        encounter: { reference: `Encounter/${encounterId(patientId)}` },
        effectiveDateTime: fact.happenedAt,
        valueQuantity: quantity(value, unit),
      },
    ]
  })
}
