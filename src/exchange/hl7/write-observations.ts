import { BadInput } from '../../clinical/worked.ts'
import {
  type Coded,
  coded,
  components,
  type Envelope,
  header,
  messageOf,
  number,
  patientSegments,
  segment,
  text,
  time,
  type WrittenPatient,
} from './write-segments.ts'

/**
 * One observation. `status` is OBX-11: F final, P preliminary, C corrects one sent before, W that one was wrong,
 * X could not be obtained. Only an X has no value, and then there is none.
 */
export type WrittenObservation = {
  readonly what: Coded
  /** PRE, POST, DURING: tells apart observations of one kind in a message. */
  readonly phase: string | null
  readonly value: number | readonly Coded[] | string | null
  readonly unit: string | null
  readonly status: 'F' | 'P' | 'C' | 'W' | 'X'
  readonly at: string
  readonly note: string | null
}

/** What tells one observation of a treatment from another: what was measured, in which phase, when. */
export function observationKey({ what, phase, at }: WrittenObservation): string {
  return [what.code, phase, at].join(' ')
}

/** Observations of one occasion, apart from a treatment. */
export type WrittenObservations = {
  readonly patient: WrittenPatient
  /** The sender's number of this set, by which a correction finds it. */
  readonly filler: string
  readonly what: Coded
  readonly at: string
  readonly observations: readonly WrittenObservation[]
}

/**
 * ORU^R01: a set of observations. When any of them corrects one sent before, the whole set says so (OBR-25).
 * @throws BadInput for a set without observations, or one that says a value and that there is none
 */
export function writeObservations(envelope: Envelope, set: WrittenObservations): string {
  const { patient, filler, what, at, observations } = set
  if (observations.length === 0) throw new BadInput('observations', 'none', 'at least one observation')
  const corrects = observations.some(({ status }) => status === 'C' || status === 'W')
  const obr = segment('OBR', {
    1: '1',
    3: components(filler, envelope.from.application),
    4: coded(what),
    7: time(at, envelope.timeZone),
    22: time(envelope.at, envelope.timeZone),
    25: corrects ? 'C' : 'F',
  })
  return messageOf([
    header(envelope, ['ORU', 'R01']),
    ...patientSegments(patient, envelope.from.facility),
    obr,
    ...observationSegments(observations, envelope.timeZone),
  ])
}

/** OBX segments counted from 1, each followed by its note. */
export function observationSegments(observations: readonly WrittenObservation[], timeZone: string): string[] {
  return observations.flatMap((observation, index) => {
    const { note } = observation
    const obx = observationSegment(observation, index + 1, timeZone)
    return note === null ? [obx] : [obx, segment('NTE', { 1: '1', 2: 'L', 3: text(note) })]
  })
}

function observationSegment(observation: WrittenObservation, sequence: number, timeZone: string): string {
  const { what, phase, unit, status, at } = observation
  const { type, written } = writtenValue(observation)
  return segment('OBX', {
    1: String(sequence),
    2: type,
    3: coded(what),
    4: phase === null ? '' : text(phase),
    5: written,
    6: unit === null ? '' : components(unit, null, 'UCUM'),
    11: status,
    14: time(at, timeZone),
  })
}

function writtenValue({ what, value, status }: WrittenObservation): { type: string; written: string } {
  const isEmpty = value === null || value === '' || (typeof value === 'object' && value.length === 0)
  if (isEmpty !== (status === 'X')) {
    throw new BadInput(what.text, value, 'a value, or the status X (not obtained) and no value')
  }
  if (isEmpty) return { type: '', written: '' }
  if (typeof value === 'number') return { type: 'NM', written: number(what.text, value) }
  if (typeof value === 'string') return { type: 'ST', written: text(value) }
  return { type: 'CWE', written: value.map(coded).join('~') }
}
