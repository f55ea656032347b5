import type { RecordType } from '../record.ts'
import type {
  AllergyIntolerance,
  AuditEvent,
  CodeableConcept,
  Coding,
  DetectedIssue,
  Encounter,
  Identifier,
  Location,
  MedicationAdministration,
  MedicationRequest,
  Observation,
  Patient,
  Period,
  Practitioner,
  Provenance,
  Reference,
  Resource,
  Task,
} from '../resources.ts'

export const SERVED_TYPES = [
  'Patient',
  'Encounter',
  'AllergyIntolerance',
  'MedicationRequest',
  'MedicationAdministration',
  'Observation',
  'DetectedIssue',
  'Provenance',
  'Task',
  'AuditEvent',
  'Practitioner',
  'Location',
] as const satisfies readonly (RecordType | 'AuditEvent')[]
export type ServedType = (typeof SERVED_TYPES)[number]

/** What a search can be held against. The values of a resource are taken out by the parameter's kind. */
export type Parameter =
  | {
      readonly kind: 'token'
      readonly of: (resource: never) => readonly Coding[]
      readonly isPersonal?: true
    }
  | { readonly kind: 'reference'; readonly of: (resource: never) => readonly string[] }
  | { readonly kind: 'date'; readonly of: (resource: never) => readonly Period[]; readonly isPersonal?: true }
  | {
      readonly kind: 'string'
      readonly of: (resource: never) => readonly string[]
      readonly isPersonal?: true
    }

const codes = (...concepts: readonly (CodeableConcept | undefined)[]): Coding[] =>
  concepts.flatMap((concept) => concept?.coding ?? [])
const code = (text: string | undefined): Coding[] => (text === undefined ? [] : [{ code: text }])
const numbers = (identifiers: readonly Identifier[] | undefined): Coding[] =>
  (identifiers ?? []).map(({ system, value }) => ({
    ...(system !== undefined && { system }),
    ...(value !== undefined && { code: value }),
  }))
const target = (...references: readonly (Reference | undefined)[]): string[] =>
  references.flatMap((each) => each?.reference ?? [])
const at = (...times: readonly (string | undefined)[]): Period[] =>
  times.flatMap((time) => (time === undefined ? [] : [{ start: time, end: time }]))
const during = (...periods: readonly (Period | undefined)[]): Period[] =>
  periods.flatMap((each) => each ?? [])

/** Held against every type. */
export const COMMON: Readonly<Record<string, Parameter>> = {
  _id: { kind: 'token', of: ({ id }: Resource) => code(id) },
  _lastUpdated: { kind: 'date', of: ({ meta }: Resource) => at(meta?.lastUpdated) },
}

const patientOf = {
  kind: 'reference',
  of: ({ subject }: { subject?: Reference }) => target(subject),
} as const
const status = { kind: 'token', of: (resource: { status?: string }) => code(resource.status) } as const

/**
 * Search parameters by type, as HL7 FHIR R4 4.0.1 names and defines them; `due` of a Task is of our own. Those that are
 * `isPersonal` say who somebody is: they are taken in the body of a request only, never in an address.
 */
export const PARAMETERS: Readonly<Record<ServedType, Readonly<Record<string, Parameter>>>> = {
  Patient: {
    identifier: { kind: 'token', of: (one: Patient) => numbers(one.identifier), isPersonal: true },
    family: {
      kind: 'string',
      of: (one: Patient) => (one.name ?? []).flatMap(({ family }) => family ?? []),
      isPersonal: true,
    },
    birthdate: { kind: 'date', of: (one: Patient) => at(one.birthDate), isPersonal: true },
  },
  Encounter: {
    patient: patientOf,
    subject: patientOf,
    status,
    date: { kind: 'date', of: (one: Encounter) => during(one.period) },
    identifier: { kind: 'token', of: (one: Encounter) => numbers(one.identifier), isPersonal: true },
    location: {
      kind: 'reference',
      of: (one: Encounter) => target(...(one.location ?? []).map(({ location }) => location)),
    },
  },
  AllergyIntolerance: {
    patient: { kind: 'reference', of: (one: AllergyIntolerance) => target(one.patient) },
  },
  MedicationRequest: {
    patient: patientOf,
    subject: patientOf,
    status,
    intent: { kind: 'token', of: (one: MedicationRequest) => code(one.intent) },
    authoredon: { kind: 'date', of: (one: MedicationRequest) => at(one.authoredOn) },
    code: { kind: 'token', of: (one: MedicationRequest) => codes(one.medicationCodeableConcept) },
    identifier: { kind: 'token', of: (one: MedicationRequest) => numbers(one.identifier), isPersonal: true },
  },
  MedicationAdministration: {
    patient: patientOf,
    subject: patientOf,
    status,
    'effective-time': {
      kind: 'date',
      of: (one: MedicationAdministration) => [...at(one.effectiveDateTime), ...during(one.effectivePeriod)],
    },
    code: { kind: 'token', of: (one: MedicationAdministration) => codes(one.medicationCodeableConcept) },
    request: { kind: 'reference', of: (one: MedicationAdministration) => target(one.request) },
    'reason-not-given': {
      kind: 'token',
      of: (one: MedicationAdministration) =>
        one.status === 'not-done' ? codes(...(one.statusReason ?? [])) : [],
    },
  },
  Observation: {
    patient: patientOf,
    subject: patientOf,
    status,
    date: {
      kind: 'date',
      of: (one: Observation) => [...at(one.effectiveDateTime), ...during(one.effectivePeriod)],
    },
    code: { kind: 'token', of: (one: Observation) => codes(one.code) },
    category: { kind: 'token', of: (one: Observation) => codes(...(one.category ?? [])) },
    'part-of': { kind: 'reference', of: (one: Observation) => target(...(one.partOf ?? [])) },
  },
  DetectedIssue: {
    patient: { kind: 'reference', of: (one: DetectedIssue) => target(one.patient) },
    identified: { kind: 'date', of: (one: DetectedIssue) => at(one.identifiedDateTime) },
    code: { kind: 'token', of: (one: DetectedIssue) => codes(one.code) },
    implicated: { kind: 'reference', of: (one: DetectedIssue) => target(...(one.implicated ?? [])) },
  },
  Provenance: {
    target: { kind: 'reference', of: (one: Provenance) => target(...one.target) },
    recorded: { kind: 'date', of: (one: Provenance) => at(one.recorded) },
    agent: { kind: 'reference', of: (one: Provenance) => target(...one.agent.map(({ who }) => who)) },
  },
  Task: {
    patient: { kind: 'reference', of: (one: Task) => target(one.for) },
    status,
    'based-on': { kind: 'reference', of: (one: Task) => target(...(one.basedOn ?? [])) },
    owner: { kind: 'reference', of: (one: Task) => target(one.owner) },
    due: { kind: 'date', of: (one: Task) => during(one.restriction?.period) },
  },
  AuditEvent: {
    date: { kind: 'date', of: (one: AuditEvent) => at(one.recorded) },
    agent: { kind: 'reference', of: (one: AuditEvent) => target(...one.agent.map(({ who }) => who)) },
    patient: {
      kind: 'reference',
      of: (one: AuditEvent) =>
        target(...(one.entity ?? []).map(({ what }) => what)).filter((each) => each.startsWith('Patient/')),
    },
    action: { kind: 'token', of: (one: AuditEvent) => code(one.action) },
    outcome: { kind: 'token', of: (one: AuditEvent) => code(one.outcome) },
  },
  Practitioner: {
    active: { kind: 'token', of: (one: Practitioner) => code(String(one.active)) },
    name: { kind: 'string', of: (one: Practitioner) => (one.name ?? []).flatMap(({ text }) => text ?? []) },
  },
  Location: {
    name: { kind: 'string', of: (one: Location) => (one.name === undefined ? [] : [one.name]) },
    partof: { kind: 'reference', of: (one: Location) => target(one.partOf) },
  },
}

export function isServed(type: string): type is ServedType {
  return (SERVED_TYPES as readonly string[]).includes(type)
}

/** The parameter of that name; null where there is none. */
export function parameterOf(type: ServedType, name: string): Parameter | null {
  const known = PARAMETERS[type]
  if (Object.hasOwn(known, name)) return known[name] ?? null
  return Object.hasOwn(COMMON, name) ? (COMMON[name] ?? null) : null
}
