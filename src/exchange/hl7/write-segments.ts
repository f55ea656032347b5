import type { Place } from '../../chart/facts/census.ts'
import { zoneOf } from '../../chart/timing/zone.ts'
import { BadInput } from '../../clinical/worked.ts'
import { escapeText } from './message.ts'

const MINUTE_MS = 60_000
const DAY_MS = 86_400_000

/** A sender or receiver: application and facility. */
export type Party = { readonly application: string; readonly facility: string }

/** What a message is wrapped in. Clock and control id are the caller's. */
export type Envelope = {
  readonly from: Party
  readonly to: Party
  readonly at: string
  /** Times are written by this zone's clock, each with its offset. */
  readonly timeZone: string
  readonly controlId: string
  /** P production, T training, D debugging (table 0103). */
  readonly processingId: 'P' | 'T' | 'D'
}

export type Coded = { readonly code: string; readonly text: string; readonly system: string }

/** Whom the message is about. */
export type WrittenPatient = {
  readonly mrn: string
  readonly wristbandGsrn: string | null
  readonly family: string
  readonly given: string
  readonly middle: string | null
  readonly dob: string | null
  readonly sex: 'female' | 'male' | 'other' | 'unknown' | null
  readonly visitNumber: string | null
  readonly place: Place | null
}

/** A segment from its fields by number, each already written with the functions below; gaps stay empty. */
export function segment(name: string, fields: Readonly<Record<number, string>>): string {
  const last = Math.max(0, ...Object.keys(fields).map(Number))
  const written = Array.from({ length: last }, (_, index) => fields[index + 1] ?? '')
  return [name, ...written].join('|').replace(/\|+$/, '')
}

/** Segments as a message, each ended by a carriage return. */
export function messageOf(segments: readonly string[]): string {
  return segments.map((each) => `${each}\r`).join('')
}

/** Text of a field: delimiters escaped, line ends of any kind kept, other control characters as \Xhh\. */
export function text(value: string): string {
  return [...escapeText(value.replace(/\r\n?/g, '\n'))].map(visible).join('')
}

function visible(character: string): string {
  const code = character.codePointAt(0) ?? 0
  return code >= 0x20 && code !== 0x7f
    ? character
    : `\\X${code.toString(16).toUpperCase().padStart(2, '0')}\\`
}

/** Components of a field; empty ones at the end are left away. */
export function components(...parts: readonly (string | null)[]): string {
  return parts
    .map((part) => (part === null ? '' : text(part)))
    .join('^')
    .replace(/\^+$/, '')
}

export function coded({ code, text: words, system }: Coded): string {
  return components(code, words, system)
}

/**
 * A number as HL7 writes it: digits and a point, never an exponent.
 * @throws BadInput for what is no finite number, or too small or large to be written so
 */
export function number(field: string, value: number): string {
  const written = String(value)
  if (!/^-?\d+(\.\d+)?$/.test(written))
    throw new BadInput(field, value, 'a number that can be written in digits')
  return written
}

/**
 * An instant by a zone's own clock, to the second, with the offset in force then.
 * @throws BadInput when the text is no instant or the zone is not known
 */
export function time(instant: string, timeZone: string): string {
  const ms = Date.parse(instant)
  if (!Number.isFinite(ms)) throw new BadInput('time', instant, 'an instant in ISO 8601')
  const { day, minute } = zoneOf(timeZone).wallAt(ms)
  const wallMs = day * DAY_MS + minute * MINUTE_MS
  const ahead = Math.round((wallMs - Math.floor(ms / MINUTE_MS) * MINUTE_MS) / MINUTE_MS)
  const wall = new Date(wallMs + (((ms % MINUTE_MS) + MINUTE_MS) % MINUTE_MS)).toISOString()
  const two = (part: number) => String(part).padStart(2, '0')
  const offset = `${ahead < 0 ? '-' : '+'}${two(Math.floor(Math.abs(ahead) / 60))}${two(Math.abs(ahead) % 60)}`
  return wall.slice(0, 19).replace(/[-:T]/g, '') + offset
}

/** MSH of a message of that kind, for example ['RAS', 'O17']. Text is UTF-8 and says so. */
export function header(envelope: Envelope, [type, event]: readonly [string, string]): string {
  const { from, to, at, timeZone, controlId, processingId } = envelope
  if (controlId === '') throw new BadInput('controlId', controlId, 'an id of at least one character')
  const fields: Readonly<Record<number, string>> = {
    3: text(from.application),
    4: text(from.facility),
    5: text(to.application),
    6: text(to.facility),
    7: time(at, timeZone),
    9: components(type, event, `${type}_${event}`),
    10: text(controlId),
    11: processingId,
    12: '2.5.1',
    18: 'UNICODE UTF-8',
  }
  // MSH-1 is the separator itself, so the fields written here count from 2.
  const rest = Object.fromEntries(Object.entries(fields).map(([at, value]) => [Number(at) - 1, value]))
  return segment('MSH', { ...rest, 1: '^~\\&' })
}

const SEX_CODES = { female: 'F', male: 'M', other: 'O', unknown: 'U' } as const

/** PID, and PV1 where a place or a visit is known. */
export function patientSegments(patient: WrittenPatient, facility: string): string[] {
  const { mrn, wristbandGsrn, family, given, middle, dob, sex, visitNumber, place } = patient
  if (mrn === '') throw new BadInput('mrn', mrn, 'the record number of the patient')
  const band = wristbandGsrn === null ? '' : `~8018${text(wristbandGsrn)}^^^${text(facility)}&GS1&L^PI`
  const pid = segment('PID', {
    1: '1',
    3: components(mrn, null, null, facility, 'MR') + band,
    5: components(family, given, middle),
    7: (dob ?? '').replaceAll('-', ''),
    8: sex === null ? '' : SEX_CODES[sex],
    18: visitNumber === null ? '' : components(visitNumber, null, null, facility, 'VN'),
  })
  if (place === null && visitNumber === null) return [pid]
  const pv1 = segment('PV1', {
    1: '1',
    2: 'I',
    3: place === null ? '' : components(place.unit, place.room, place.bed, facility),
    19: visitNumber === null ? '' : components(visitNumber, null, null, facility, 'VN'),
  })
  return [pid, pv1]
}
