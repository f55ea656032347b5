import type { Allergy, PatientPatch, Place } from '../../../chart/facts/census.ts'
import { hasCheckDigit } from '../../gs1/check-digit.ts'
import { SYSTEM } from '../codes.ts'
import type { AllergyIntolerance, Encounter, Location, Patient } from '../resources.ts'
import { codeIn, type EntryReader, textOf } from './entry-reader.ts'

/** A patient by their record number (an identifier of type MR, table 0203); no other number stands in for it. */
export type PatientReading = { readonly mrn: string; readonly patch: PatientPatch }

/** Who: identifiers, name, birth date, sex. Elements that are absent are not spoken of. */
export function readPatient(reader: EntryReader, given: Patient): PatientReading | null {
  reader.modifiers('', given.modifierExtension)
  const identifiers = (given.identifier ?? []).flatMap(({ type, value }) =>
    value === undefined
      ? []
      : [{ type: codeIn(type, SYSTEM.identifierType) ?? textOf(type) ?? '', value: band(reader, value) }],
  )
  const numbers = identifiers.filter(({ type }) => type === 'MR').map(({ value }) => value)
  const [mrn, second] = [...new Set(numbers)]
  if (second !== undefined)
    reader.wrong(
      'multiple-matches',
      'identifier',
      'there are several record numbers (identifiers of type MR)',
    )
  if (mrn === undefined)
    return reader.wrong('required', 'identifier', 'the record number (an identifier of type MR) is missing')
  const name = nameOf(given)
  if (!name?.family && !name?.given) reader.wrong('required', 'name', 'the name is missing')
  if (given.deceasedBoolean === true || given.deceasedDateTime !== undefined)
    reader.warn('the patient is said to have died; orders are stopped at their source, nothing was done here')
  const { birthDate } = given
  if (birthDate !== undefined && birthDate.length < 10)
    reader.wrong('value', 'birthDate', `"${birthDate}" is not a whole date`)
  const [first, ...others] = name?.given ?? []
  return {
    mrn,
    patch: {
      mrn,
      identifiers,
      ...(name?.family !== undefined && { family: name.family }),
      ...(first !== undefined && { given: first }),
      ...(others.length > 0 && { middle: others.join(' ') }),
      ...(birthDate !== undefined && { dob: birthDate }),
      ...(given.gender !== undefined && { sex: given.gender }),
    },
  }
}

/** The official name; else the usual one; else the first that is neither old nor a nickname. */
function nameOf({ name = [] }: Patient) {
  const use = (wanted: string) => name.find((each) => each.use === wanted)
  return (
    use('official') ??
    use('usual') ??
    name.find(({ use: how }) => how !== 'old' && how !== 'nickname' && how !== 'anonymous')
  )
}

function band(reader: EntryReader, value: string): string {
  if (!/^8018\d{18}$/.test(value)) return value
  const number = value.slice(4)
  if (!hasCheckDigit(number))
    reader.wrong('value', 'identifier', `the check digit of wristband number ${number} is wrong`)
  return number
}

export type StayReading = { readonly isOver: boolean; readonly patch: PatientPatch }

/**
 * A stay: from when to when, where. Whoever is planned or only expected is not in the house, and nothing is made of it.
 * @param placeOf the place that a location is, when it can be told
 */
export function readEncounter(
  reader: EntryReader,
  given: Encounter,
  locationOf: (reference: string) => Location | null,
): StayReading | null {
  reader.modifiers('', given.modifierExtension)
  const isOver = given.status === 'finished'
  if (given.status === 'planned') {
    reader.note('a stay that is planned: nothing is made of it until it begins')
    return null
  }
  if (!isOver && !['in-progress', 'arrived', 'triaged', 'onleave'].includes(given.status))
    return reader.wrong('not-supported', 'status', `a stay that is ${given.status} is not read here`)
  const { period, location = [], participant = [] } = given
  const end = reader.instant('period.end', period?.end)
  if (isOver && end === null)
    reader.wrong('required', 'period.end', 'the stay is finished, and nothing says since when')
  const start = reader.instant('period.start', period?.start)
  const number =
    given.identifier?.find(({ type }) => codeIn(type, SYSTEM.identifierType) === 'VN') ??
    given.identifier?.[0]
  const active = location.filter(({ status }) => status === undefined || status === 'active')
  const place =
    active.length === 0
      ? null
      : placeOf(
          reader,
          active.map((each) => each.location),
          locationOf,
        )
  const attending = participant.find(({ individual }) => individual?.display !== undefined)?.individual
    ?.display
  return {
    isOver,
    patch: {
      ...(number?.value !== undefined && { visitNumber: number.value }),
      ...(start !== null && { admittedAt: start }),
      ...(isOver && end !== null && { dischargedAt: end }),
      ...(place !== null && { place }),
      ...(attending !== undefined && { attending }),
    },
  }
}

/** Ward, room and bed are told by resources that say which of them they are; words alone are not taken apart. */
function placeOf(
  reader: EntryReader,
  given: readonly { readonly reference?: string; readonly display?: string }[],
  locationOf: (reference: string) => Location | null,
): Place | null {
  const parts: { wa?: string; ro?: string; bd?: string } = {}
  for (const { reference } of given) {
    let at = reference === undefined ? null : locationOf(reference)
    for (let steps = 0; at !== null && steps < 8; steps += 1) {
      const type = codeIn(at.physicalType, SYSTEM.placeType)
      if ((type === 'wa' || type === 'ro' || type === 'bd') && at.name !== undefined) parts[type] ??= at.name
      at = at.partOf?.reference === undefined ? null : locationOf(at.partOf.reference)
    }
  }
  const { wa: unit, ro: room = '', bd: bed = '' } = parts
  if (unit !== undefined) return { unit, room, bed }
  const words = given
    .map(({ display }) => display)
    .filter(Boolean)
    .join(', ')
  reader.warn(
    `the place${words ? ` "${words}"` : ''} is not used: no location in the bundle says which ward, room and bed it is`,
  )
  return null
}

/** An allergy that holds. One that was refuted or has gone takes nothing away here by itself: a person is asked. */
export function readAllergy(reader: EntryReader, given: AllergyIntolerance): Allergy | null {
  reader.modifiers('', given.modifierExtension)
  const clinical = given.clinicalStatus?.coding?.[0]?.code
  const certainty = given.verificationStatus?.coding?.[0]?.code
  if (
    (clinical !== undefined && clinical !== 'active') ||
    certainty === 'refuted' ||
    certainty === 'entered-in-error'
  )
    return reader.wrong(
      'not-supported',
      '',
      `an allergy that is ${certainty ?? clinical} is not read here; look at the list of the patient`,
    )
  const text = textOf(given.code)
  if (text === null) return reader.wrong('required', 'code', 'what the patient is allergic to is missing')
  const reaction = (given.reaction ?? [])
    .flatMap(({ manifestation }) => manifestation.map(textOf))
    .filter(Boolean)
    .join(', ')
  return { code: given.code?.coding?.[0]?.code ?? '', text, ...(reaction !== '' && { reaction }) }
}
