import type { Allergy, PatientPatch } from '../../chart/facts/census.ts'
import type { BodyOf } from '../../chart/registry.ts'
import { hasCheckDigit } from '../gs1/check-digit.ts'
import { readPatientObservations } from './read-patient-observations.ts'
import type { FieldReader, MessageReader } from './reader.ts'
import { said } from './said.ts'

type CensusEvent = BodyOf<'census-updated'>['event']

export type CensusReading = {
  readonly mrn: string
  readonly event: CensusEvent
  readonly happenedAt: string | null
  readonly patch: PatientPatch
}

const EVENT_OF: Readonly<Record<string, CensusEvent>> = {
  A01: 'admitted',
  A02: 'moved',
  A03: 'discharged',
  A08: 'updated',
}

/** What a census message says. Fields that are absent are not spoken of; two double quotes take away. */
export function readCensus(reader: MessageReader, event: string): CensusReading | null {
  const pid = reader.first('PID')
  if (!pid) return null
  const patch = readPatient(pid)
  const pv1 = reader.first('PV1')
  const evn = reader.first('EVN')
  const stay = pv1 ? readStay(pv1) : {}
  const clinical = { ...readAllergies(reader), ...readConditions(reader), ...readPatientObservations(reader) }
  if (patch.mrn === undefined) return null
  return {
    mrn: patch.mrn,
    event: EVENT_OF[event] ?? 'updated',
    happenedAt: evn?.time(6, 'when it happened') ?? evn?.time(2, 'when it was recorded') ?? null,
    patch: { ...patch, ...stay, ...clinical },
  }
}

/**
 * Who: identifiers, name, birth date, sex. A patient without a record number (an identifier of type MR, table 0203)
 * cannot be told from another; no other number stands in for it.
 */
export function readPatient(pid: FieldReader): PatientPatch {
  const identifiers = pid.at.repeats(3).flatMap((repeat) => {
    const value = pid.at.part(repeat)
    return value === null ? [] : [{ type: pid.at.part(repeat, 5) ?? '', value: bandNumber(pid, value) }]
  })
  const mrn = identifiers.find(({ type }) => type === 'MR')?.value
  if (mrn === undefined) pid.wrong('101', 3, 'the record number (an identifier of type MR) is missing')
  if (pid.at.text(5, 1) === null && pid.at.text(5, 2) === null) pid.wrong('101', 5, 'the name is missing')
  const dob = pid.date(7, 'the date of birth')
  const sex = sexOf(pid)
  return {
    ...(mrn !== undefined && { mrn, identifiers }),
    ...said('family', pid.at.text(5, 1)),
    ...said('given', pid.at.text(5, 2)),
    ...saidOrTaken('middle', pid.at.text(5, 3), pid.at.isPartDeleted(5, 3)),
    ...said('dob', dob),
    ...(sex && { sex }),
    ...saidOrTaken('visitNumber', pid.at.text(18), pid.at.isDeleted(18)),
  }
}

/** A wristband's number may come with the GS1 identifier in front of it; the number alone is kept, if its check digit is right. */
function bandNumber(pid: FieldReader, value: string): string {
  if (!/^8018\d{18}$/.test(value)) return value
  const number = value.slice(4)
  if (!hasCheckDigit(number)) pid.wrong('102', 3, `the check digit of wristband number ${number} is wrong`)
  return number
}

function sexOf(pid: FieldReader): PatientPatch['sex'] | null {
  const code = pid.at.text(8)
  switch (code) {
    case null:
      return null
    case 'F':
      return 'female'
    case 'M':
      return 'male'
    case 'O':
    case 'A':
      return 'other'
    case 'U':
    case 'N':
      return 'unknown'
    default:
      pid.wrong('103', 8, `sex "${code}" is none of F, M, O, A, U, N`)
      return null
  }
}

function readStay(pv1: FieldReader): PatientPatch {
  const attending = [pv1.at.text(7, 3), pv1.at.text(7, 2)].filter(Boolean).join(' ')
  return {
    ...readPlace(pv1),
    ...saidOrTaken('attending', attending || null, pv1.at.isDeleted(7)),
    ...saidOrTaken('visitNumber', pv1.at.text(19), pv1.at.isDeleted(19)),
    ...saidOrTaken('admittedAt', pv1.time(44, 'the time of admission'), pv1.at.isDeleted(44)),
    ...saidOrTaken('dischargedAt', pv1.time(45, 'the time of discharge'), pv1.at.isDeleted(45)),
  }
}

/** Where the patient is: unit, room, bed. Two double quotes for all of it, or for the unit, take the place away. */
export function readPlace(pv1: FieldReader): PatientPatch {
  const unit = pv1.at.text(3, 1)
  const place = unit === null ? null : { unit, room: pv1.at.text(3, 2) ?? '', bed: pv1.at.text(3, 3) ?? '' }
  return saidOrTaken('place', place, pv1.at.isPartDeleted(3, 1))
}

/** Codes by which a sender says that there is no known allergy. Common practice, no source. */
const NO_KNOWN_ALLERGIES = ['NKA', 'NKDA']

/** The list as sent stands for the whole: empty when none is known, taken away when only two double quotes came. */
function readAllergies(reader: MessageReader): PatientPatch {
  const segments = reader.all('AL1')
  if (segments.length === 0) return {}
  const told = segments.filter((al1) => !al1.at.isPartDeleted(3, 1))
  if (told.length === 0) return { allergies: null }
  const none = told.filter((al1) => NO_KNOWN_ALLERGIES.includes(al1.at.text(3)?.toUpperCase() ?? ''))
  const allergies = told.filter((al1) => !none.includes(al1)).map(readAllergy)
  if (allergies.length > 0)
    none[0]?.wrong('103', 3, 'it says that no allergy is known, and an allergy stands beside it')
  return { allergies }
}

function readAllergy(al1: FieldReader): Allergy {
  const [code, text] = [al1.at.text(3), al1.at.text(3, 2)]
  if (code === null && text === null) al1.wrong('101', 3, 'what the patient is allergic to is missing')
  const reaction = al1.at
    .repeats(5)
    .map((repeat) => al1.at.part(repeat))
    .filter(Boolean)
    .join(', ')
  return {
    code: code ?? '',
    text: text ?? code ?? '',
    ...said('severity', al1.at.text(4)),
    ...(reaction !== '' && { reaction }),
  }
}

function readConditions(reader: MessageReader): PatientPatch {
  const segments = reader.all('DG1')
  if (segments.length === 0) return {}
  const told = segments.filter((dg1) => !dg1.at.isPartDeleted(3, 1))
  if (told.length === 0) return { conditions: null }
  return {
    conditions: told.map((dg1) => {
      const code = dg1.required(3, 'the code of the condition') ?? ''
      return { code, text: dg1.at.text(3, 2) ?? dg1.at.whole(4) ?? code }
    }),
  }
}

/** What was said; null where it was explicitly taken away; nothing where it was not spoken of. */
function saidOrTaken<Key extends string, Value>(
  key: Key,
  value: Value | null,
  isTaken: boolean,
): { [K in Key]?: Value | null } {
  return value === null && isTaken ? ({ [key]: null } as { [K in Key]: null }) : said(key, value)
}
