import type { MedicineCodes } from '../../chart/documents/medicine-codes.ts'
import type { PatientPatch } from '../../chart/facts/census.ts'
import type { BodyOf } from '../../chart/registry.ts'
import { type AnswerCode, answerCode, writeAnswer } from './answer.ts'
import { parseMessage } from './message.ts'
import { type Hl7Problem, placeOf } from './problem.ts'
import { type CensusReading, readCensus, readPatient, readPlace } from './read-census.ts'
import { type OrderReading, readOrders } from './read-orders.ts'
import { readOutside } from './read-outside.ts'
import { MessageReader } from './reader.ts'
import { readHeading } from './structure.ts'

/** What a message says, once it has been read without a problem. */
export type Content =
  | { readonly kind: 'nothing' }
  | ({ readonly kind: 'census' } & CensusReading)
  | {
      readonly kind: 'orders'
      readonly mrn: string
      readonly patient: PatientPatch
      readonly orders: readonly OrderReading[]
    }
  | {
      readonly kind: 'outside'
      readonly mrn: string
      readonly happenedAt: string | null
      readonly outside: BodyOf<'outside-record-received'>
    }

export type Hl7Reading = {
  /** Names sender and control id; null when there is no header to read them from. */
  readonly key: string | null
  readonly type: string | null
  readonly sender: string | null
  readonly content: Content
  /** Null when nothing can be answered: no header, or an acknowledgment, which is never answered. */
  readonly answer: { readonly code: AnswerCode; readonly text: string } | null
  readonly problems: BodyOf<'message-received'>['problems']
}

export type Hl7Settings = {
  readonly timeZone: string
  readonly codes: MedicineCodes
  readonly us: {
    readonly application: string
    readonly facility: string
    readonly controlId: string
    readonly now: string
  }
}

/**
 * Reads one HL7 v2 message. Never throws: whatever cannot be used comes back as problems, and the text is the caller's
 * to keep. `alsoWrong` are problems that the caller found in it: they are told and answered beside its own.
 */
export function readHl7(
  text: string,
  settings: Hl7Settings,
  alsoWrong: readonly Hl7Problem[] = [],
): Hl7Reading {
  const message = parseMessage(text)
  const reader = message && new MessageReader(message, settings.timeZone)
  const heading = reader && readHeading(reader)
  if (!reader || !heading) {
    return unreadable('MSH', 'there is no message header, so nothing can be read or answered')
  }
  const isAnswer = heading.type === 'ACK'
  const content: Content =
    reader.problems.length > 0 || isAnswer
      ? { kind: 'nothing' }
      : readContent(reader, heading.type, heading.event, settings.codes)
  for (const { code, segment, sequence, field, what } of alsoWrong) {
    reader.problem(code, segment, sequence, field, what)
  }
  // When the message itself was sent places nothing: only what it tells of is asked about.
  const doubts = reader.doubts.filter(({ segment }) => segment !== 'MSH')
  const key =
    heading.controlId === '' ? null : [heading.sender, heading.senderFacility, heading.controlId].join('|')
  return {
    key,
    type: [heading.type, heading.event].filter(Boolean).join('^') || null,
    sender: [heading.sender, heading.senderFacility].filter(Boolean).join(' at ') || null,
    content: reader.problems.length > 0 ? { kind: 'nothing' } : content,
    answer: isAnswer
      ? null
      : {
          code: answerCode(reader.problems),
          text: writeAnswer(heading, reader.problems, settings.us, doubts),
        },
    problems: [...reader.problems, ...doubts].map((problem) => ({
      where: placeOf(problem),
      code: problem.code,
      what: problem.what,
    })),
  }
}

/** A text in which no message can be told: it gets no answer, and a person is told. */
export function unreadable(where: string, what: string): Hl7Reading {
  const problems = [{ where, code: '100', what }]
  return { key: null, type: null, sender: null, content: { kind: 'nothing' }, answer: null, problems }
}

function readContent(reader: MessageReader, type: string, event: string, codes: MedicineCodes): Content {
  if (type === 'ADT') {
    const census = readCensus(reader, event)
    return census ? { kind: 'census', ...census } : { kind: 'nothing' }
  }
  const pid = reader.first('PID')
  if (!pid) {
    reader.problem('100', 'PID', 1, null, 'there is no patient')
    return { kind: 'nothing' }
  }
  const patient = readPatient(pid)
  const outside = type === 'RAS' || type === 'ORU' ? readOutside(reader) : null
  const orders = outside ? [] : readOrders(reader, codes)
  if (patient.mrn === undefined) return { kind: 'nothing' }
  if (outside) return { kind: 'outside', mrn: patient.mrn, happenedAt: null, outside }
  const pv1 = reader.first('PV1')
  return { kind: 'orders', mrn: patient.mrn, patient: { ...patient, ...(pv1 && readPlace(pv1)) }, orders }
}
