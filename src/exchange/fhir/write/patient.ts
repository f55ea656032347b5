import type { Place } from '../../../chart/facts/census.ts'
import type { PatientState } from '../../../chart/folds/patient.ts'
import type { StaffState } from '../../../chart/folds/staff.ts'
import type { AnyFact } from '../../../chart/registry.ts'
import { OURS, SYSTEM } from '../codes.ts'
import type {
  AllergyIntolerance,
  Encounter,
  Identifier,
  Location,
  Patient,
  Practitioner,
} from '../resources.ts'
import { coded, fhirId, metaOf, reference, type WriteContext } from './basics.ts'

const ofCensus = ({ kind }: AnyFact) => kind === 'census-updated'

function meta({ chart }: WriteContext, patientId: string) {
  return metaOf(chart.factsAbout('patient', patientId).filter(ofCensus))
}

/** A patient as the census has told of them: numbers, name, sex, date of birth. */
export function writePatient(context: WriteContext, patient: PatientState): Patient {
  const { patientId, family, given, middle, dob, sex } = patient
  const names = [given, middle].filter((name) => name !== null)
  const name = {
    use: 'official',
    ...(family !== null && { family }),
    ...(names.length > 0 && { given: names }),
  }
  return {
    resourceType: 'Patient',
    id: fhirId(patientId),
    ...meta(context, patientId),
    identifier: identifiersOf(context, patient),
    ...((family !== null || names.length > 0) && { name: [name] }),
    ...(sex !== null && { gender: sex }),
    ...(dob !== null && { birthDate: dob }),
  }
}

function identifiersOf({ facility }: WriteContext, { mrn, identifiers }: PatientState): Identifier[] {
  const others = identifiers.filter(({ type, value }) => !(type === 'MR' && value === mrn))
  return [
    {
      type: coded(SYSTEM.identifierType, 'MR'),
      system: OURS.recordNumber(facility),
      value: mrn ?? '',
    },
    ...others.map(({ type, value }) => ({
      ...(type !== '' && {
        type: /^[A-Z]{2,6}$/.test(type) ? coded(SYSTEM.identifierType, type) : { text: type },
      }),
      system: OURS.identifier(facility),
      value,
    })),
  ]
}

/** The stay in the house: when, where, under whom. */
export function writeEncounter(context: WriteContext, patient: PatientState): Encounter {
  const { patientId, admittedAt, dischargedAt, place, visitNumber, attending } = patient
  const period = {
    ...(admittedAt !== null && { start: admittedAt }),
    ...(dischargedAt !== null && { end: dischargedAt }),
  }
  return {
    resourceType: 'Encounter',
    id: encounterId(patientId),
    ...meta(context, patientId),
    ...(visitNumber !== null && {
      identifier: [
        {
          type: coded(SYSTEM.identifierType, 'VN'),
          system: OURS.stay(context.facility),
          value: visitNumber,
        },
      ],
    }),
    status: dischargedAt !== null && dischargedAt <= context.now ? 'finished' : 'in-progress',
    class: { system: SYSTEM.actCode, code: 'IMP', display: 'inpatient encounter' },
    subject: reference('Patient', patientId),
    ...(attending !== null && { participant: [{ individual: { display: attending } }] }),
    ...(Object.keys(period).length > 0 && { period }),
    ...(place !== null && {
      location: [
        {
          location: reference('Location', placeIds(place).at(-1) ?? '', placeName(place)),
          status: 'active',
        },
      ],
    }),
  }
}

export function encounterId(patientId: string): string {
  return fhirId(`${patientId}.stay`)
}

/** Ward, room and bed of a place, each part of the one before, as far as they are told. */
export function writeLocations(place: Place): Location[] {
  const ids = placeIds(place)
  const parts = partsOf(place)
  return parts.map(({ name, type, display }, at) => ({
    resourceType: 'Location',
    id: ids[at] ?? '',
    status: 'active',
    name,
    mode: 'instance',
    physicalType: coded(SYSTEM.placeType, type, display),
    ...(at > 0 && { partOf: reference('Location', ids[at - 1] ?? '') }),
  }))
}

/** HL7 FHIR R4 4.0.1, code system location-physical-type: wa ward, ro room, bd bed. */
function partsOf({ unit, room, bed }: Place) {
  return [
    { name: unit, type: 'wa', display: 'Ward' },
    ...(room === '' ? [] : [{ name: room, type: 'ro', display: 'Room' }]),
    ...(bed === '' ? [] : [{ name: bed, type: 'bd', display: 'Bed' }]),
  ]
}

function placeIds(place: Place): string[] {
  const parts = partsOf(place)
  return parts.map(({ type }, at) => {
    const names = parts.slice(0, at + 1).map(({ name }) => name)
    return fhirId(`${type}.${names.join('.')}`)
  })
}

function placeName({ unit, room, bed }: Place): string {
  return [unit, room, bed].filter(Boolean).join(' ')
}

/** HL7 FHIR R4 4.0.1: code systems allergyintolerance-clinical and allergyintolerance-verification. */
export function writeAllergies(
  context: WriteContext,
  { patientId, allergies }: PatientState,
): AllergyIntolerance[] {
  return (allergies ?? []).map(({ code, text, severity, reaction }) => ({
    resourceType: 'AllergyIntolerance',
    id: fhirId(`${patientId}.allergy.${code}.${text}`),
    ...meta(context, patientId),
    clinicalStatus: coded(SYSTEM.allergyClinical, 'active'),
    code: { ...(code !== '' && { coding: [{ code }] }), text },
    patient: reference('Patient', patientId),
    ...(reaction && {
      reaction: [{ manifestation: [{ text: severity ? `${reaction} (${severity})` : reaction }] }],
    }),
  }))
}

/** Somebody on the department's list. */
export function writePractitioner(
  { chart, facility }: WriteContext,
  { personId, name, active }: StaffState,
): Practitioner {
  return {
    resourceType: 'Practitioner',
    id: fhirId(personId),
    ...metaOf(chart.factsAbout('person', personId).filter(({ kind }) => kind === 'staff-recorded')),
    identifier: [{ system: OURS.person(facility), value: personId }],
    active,
    name: [{ text: name }],
  }
}
