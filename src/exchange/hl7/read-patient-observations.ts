import { OXYGEN_DEVICES, type OxygenSupport, type PatientPatch } from '../../chart/facts/census.ts'
import type { FieldReader, MessageReader } from './reader.ts'
import { said } from './said.ts'

/**
 * Observations that a census message may carry: weight, height, isolation, oxygen, target, airway. One that could not be
 * had (OBX-11 X, table 0085) says nothing; one that was wrong (W) or is deleted (D) takes away what was said before.
 */
export function readPatientObservations(reader: MessageReader): PatientPatch {
  let patch: PatientPatch = {}
  let oxygen: Partial<OxygenSupport> = {}
  for (const obx of reader.all('OBX')) {
    const status = obx.at.text(11)
    if (status === 'X') continue
    if (status === 'W' || status === 'D') {
      patch = { ...patch, ...takenAway(obx) }
      continue
    }
    switch (obx.at.text(3)) {
      case '29463-7':
        patch = { ...patch, ...measured('weightKg', obx, { g: 0.001, kg: 1 }) }
        break
      case '8302-2':
        patch = { ...patch, ...measured('heightCm', obx, { cm: 1, m: 100 }) }
        break
      case 'ISO':
        patch = { ...patch, ...isolation(obx) }
        break
      case 'OXYGENDEVICE':
        oxygen = { ...oxygen, ...oxygenDevice(obx) }
        break
      case '3151-8':
        oxygen = { ...oxygen, ...said('flowLPerMin', valueIn(obx, 'the oxygen flow', { 'L/min': 1 })) }
        break
      case '3150-0':
        oxygen = { ...oxygen, ...said('fio2Percent', valueIn(obx, 'the oxygen concentration', { '%': 1 })) }
        break
      case 'SPO2TARGET':
        patch = { ...patch, ...target(obx) }
        break
      case 'AIRWAY':
        patch = { ...patch, ...airway(obx) }
        break
    }
  }
  if (oxygen.device !== undefined) return { ...patch, oxygen: { ...oxygen, device: oxygen.device } }
  if (Object.keys(oxygen).length > 0)
    reader.first('OBX')?.wrong('101', 3, 'oxygen is given, and the device by which is missing')
  return patch
}

const KEY_OF: Readonly<Record<string, keyof PatientPatch>> = {
  '29463-7': 'weightKg',
  '8302-2': 'heightCm',
  ISO: 'isolation',
  OXYGENDEVICE: 'oxygen',
  '3151-8': 'oxygen',
  '3150-0': 'oxygen',
  SPO2TARGET: 'target',
  AIRWAY: 'airway',
}

function takenAway(obx: FieldReader): PatientPatch {
  const key = KEY_OF[obx.at.text(3) ?? '']
  return key === undefined ? {} : { [key]: null }
}

function isolation(obx: FieldReader): PatientPatch {
  if (obx.at.isDeleted(5)) return { isolation: null }
  const codes = obx.at.repeats(5).flatMap((repeat) => obx.at.part(repeat) ?? [])
  if (codes.length === 0) obx.wrong('101', 5, 'the isolation is missing')
  return { isolation: codes.filter((code) => code !== 'STD') }
}

function measured(key: 'weightKg' | 'heightCm', obx: FieldReader, factors: Factors): PatientPatch {
  if (obx.at.isDeleted(5)) return { [key]: null }
  return said(key, valueIn(obx, NAMES[key], factors))
}

const NAMES = { weightKg: 'the weight', heightCm: 'the height' } as const
type Factors = Readonly<Record<string, number>>

/** A number by its stated unit. One without a unit is not taken: a weight in pounds would pass for one in kilograms. */
function valueIn(obx: FieldReader, what: string, factors: Factors): number | null {
  if (obx.at.isDeleted(5)) return null
  if (obx.at.raw(5) === '') return obx.wrong('101', 5, `${what} is missing`)
  const value = obx.number(5, what)
  if (value === null) return null
  const unit = obx.at.text(6)
  if (unit === null) return obx.wrong('102', 6, `${what} has no unit`)
  const factor = factors[unit]
  if (factor === undefined)
    return obx.wrong('103', 6, `${what} is given in ${unit}; read here: ${Object.keys(factors).join(', ')}`)
  // Six decimals hide the binary remainder of a factor, and no weight or height is known so finely.
  return Number((value * factor).toFixed(6))
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
