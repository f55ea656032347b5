import { OXYGEN_DEVICES, type OxygenSupport, type PatientPatch } from '../../chart/facts/census.ts'
import type { BodyOf } from '../../chart/registry.ts'
import type { FieldReader, MessageReader } from './reader.ts'

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
  const clinical = { ...readAllergies(reader), ...readConditions(reader), ...readObservations(reader) }
  if (patch.mrn === undefined) return null
  return {
    mrn: patch.mrn,
    event: EVENT_OF[event] ?? 'updated',
    happenedAt: evn?.time(6, 'when it happened') ?? evn?.time(2, 'when it was recorded') ?? null,
    patch: { ...patch, ...stay, ...clinical },
  }
}

/** Who: identifiers, name, birth date, sex. A patient without a record number cannot be told from another. */
export function readPatient(pid: FieldReader): PatientPatch {
  const identifiers = pid.at.repeats(3).flatMap((repeat) => {
    const value = pid.at.part(repeat)
    return value === null ? [] : [{ type: pid.at.part(repeat, 5) ?? '', value: bandNumber(value) }]
  })
  const mrn = identifiers.find(({ type }) => type === 'MR')?.value ?? identifiers[0]?.value
  if (mrn === undefined) pid.wrong('101', 3, 'the record number is missing')
  if (pid.at.raw(5) === '') pid.wrong('101', 5, 'the name is missing')
  const dob = pid.date(7, 'the date of birth')
  const sex = sexOf(pid)
  return {
    ...(mrn !== undefined && { mrn, identifiers }),
    ...said('family', pid.at.text(5, 1)),
    ...said('given', pid.at.text(5, 2)),
    ...said('middle', pid.at.text(5, 3)),
    ...said('dob', dob),
    ...(sex && { sex }),
    ...said('visitNumber', pid.at.text(18)),
  }
}

/** A wristband's number may come with the GS1 identifier in front of it; the number alone is kept. */
function bandNumber(value: string): string {
  return /^8018\d{18}$/.test(value) ? value.slice(4) : value
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
  const unit = pv1.at.text(3, 1)
  const attending = [pv1.at.text(7, 3), pv1.at.text(7, 2)].filter(Boolean).join(' ')
  return {
    ...(unit !== null && { place: { unit, room: pv1.at.text(3, 2) ?? '', bed: pv1.at.text(3, 3) ?? '' } }),
    ...(attending !== '' && { attending }),
    ...said('visitNumber', pv1.at.text(19)),
    ...said('admittedAt', pv1.time(44, 'the time of admission')),
    ...said('dischargedAt', pv1.time(45, 'the time of discharge')),
  }
}

function readAllergies(reader: MessageReader): PatientPatch {
  const segments = reader.all('AL1')
  if (segments.length === 0) return {}
  return {
    allergies: segments.map((al1) => {
      const reaction = al1.at
        .repeats(5)
        .map((repeat) => al1.at.part(repeat))
        .filter(Boolean)
        .join(', ')
      return {
        code: al1.at.text(3) ?? '',
        text: al1.at.text(3, 2) ?? al1.at.text(3) ?? 'not named',
        ...said('severity', al1.at.text(4)),
        ...(reaction !== '' && { reaction }),
      }
    }),
  }
}

function readConditions(reader: MessageReader): PatientPatch {
  const segments = reader.all('DG1')
  if (segments.length === 0) return {}
  return {
    conditions: segments.flatMap((dg1) => {
      const code = dg1.at.text(3)
      return code === null ? [] : [{ code, text: dg1.at.text(3, 2) ?? dg1.at.whole(4) ?? code }]
    }),
  }
}

/** Observations that a census message may carry: weight, height, isolation, oxygen, target, airway. */
function readObservations(reader: MessageReader): PatientPatch {
  let patch: PatientPatch = {}
  let oxygen: Partial<OxygenSupport> = {}
  for (const obx of reader.all('OBX')) {
    switch (obx.at.text(3)) {
      case '29463-7':
        patch = { ...patch, ...measured('weightKg', obx, 'kg', { g: 0.001, kg: 1 }) }
        break
      case '8302-2':
        patch = { ...patch, ...measured('heightCm', obx, 'cm', { cm: 1, m: 100 }) }
        break
      case 'ISO':
        patch = { ...patch, isolation: codes(obx).filter((code) => code !== 'STD') }
        break
      case 'OXYGENDEVICE':
        oxygen = { ...oxygen, ...oxygenDevice(obx) }
        break
      case '3151-8':
        oxygen = { ...oxygen, ...said('flowLPerMin', obx.number(5, 'the oxygen flow')) }
        break
      case '3150-0':
        oxygen = { ...oxygen, ...said('fio2Percent', obx.number(5, 'the oxygen concentration')) }
        break
      case 'SPO2TARGET':
        patch = { ...patch, ...target(obx) }
        break
      case 'AIRWAY':
        patch = { ...patch, ...airway(obx) }
        break
    }
  }
  return oxygen.device === undefined ? patch : { ...patch, oxygen: { ...oxygen, device: oxygen.device } }
}

function codes(obx: FieldReader): string[] {
  return obx.at.repeats(5).flatMap((repeat) => obx.at.part(repeat) ?? [])
}

function measured(
  key: 'weightKg' | 'heightCm',
  obx: FieldReader,
  unit: string,
  factors: Readonly<Record<string, number>>,
): PatientPatch {
  if (obx.at.isDeleted(5)) return { [key]: null }
  const value = obx.number(5, key)
  if (value === null) return {}
  const factor = factors[obx.at.text(6) ?? unit]
  if (factor === undefined) {
    obx.wrong('103', 6, `${key} is given in ${obx.at.text(6)}, which is not read here`)
    return {}
  }
  return { [key]: value * factor }
}

function oxygenDevice(obx: FieldReader): { device?: OxygenSupport['device'] } {
  const text = obx.at.text(5, 2) ?? obx.at.text(5) ?? ''
  const device = OXYGEN_DEVICES.find((known) => known === text)
  if (device === undefined)
    obx.wrong('103', 5, `oxygen device "${text}" is none of: ${OXYGEN_DEVICES.join(', ')}`)
  return device === undefined ? {} : { device }
}

/** A target saturation as a structured range (SN): ^88^-^92; scale 2 stands in the method (OBX-17). */
function target(obx: FieldReader): PatientPatch {
  const [low, high] = [Number(obx.at.text(5, 2)), Number(obx.at.text(5, 4))]
  if (!Number.isInteger(low) || !Number.isInteger(high) || low >= high) {
    obx.wrong('102', 5, 'the target saturation is not a range of whole percent')
    return {}
  }
  return { target: { lowPercent: low, highPercent: high, newsScale: obx.at.text(17) === 'SCALE2' ? 2 : 1 } }
}

function airway(obx: FieldReader): PatientPatch {
  const text = obx.at.text(5, 2) ?? obx.at.text(5) ?? ''
  if (text !== 'natural' && text !== 'tracheostomy' && text !== 'endotracheal tube') {
    obx.wrong('103', 5, `airway "${text}" is none of: natural, tracheostomy, endotracheal tube`)
    return {}
  }
  return { airway: text }
}

function said<Key extends string, Value>(key: Key, value: Value | null): { [K in Key]?: Value } {
  return (value === null ? {} : { [key]: value }) as { [K in Key]?: Value }
}
