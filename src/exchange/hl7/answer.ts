import { escapeText } from './message.ts'
import { ERROR_TEXT, type Hl7Problem, isRejection } from './problem.ts'
import type { Heading } from './structure.ts'
import { writeTime } from './time.ts'

export type AnswerCode = 'AA' | 'AE' | 'AR'

/** Accepted, an error in its content, or refused as a whole. */
export function answerCode(problems: readonly Hl7Problem[]): AnswerCode {
  if (problems.length === 0) return 'AA'
  return problems.some(isRejection) ? 'AR' : 'AE'
}

/**
 * The acknowledgment of a message (chapter 2.9): MSA with the code and the control id answered, and an ERR for every
 * problem with place, code of table 0357, severity and words for a person. A doubt about what was taken is a warning
 * (severity W) and changes no code.
 */
export function writeAnswer(
  heading: Heading,
  problems: readonly Hl7Problem[],
  us: {
    readonly application: string
    readonly facility: string
    readonly controlId: string
    readonly now: string
  },
  doubts: readonly Hl7Problem[] = [],
): string {
  const code = answerCode(problems)
  const header = [
    'MSH',
    '^~\\&',
    us.application,
    us.facility,
    heading.sender,
    heading.senderFacility,
    writeTime(us.now),
    '',
    `ACK^${heading.event}^ACK`,
    us.controlId,
    'P',
    '2.5.1',
  ]
  const lines = [
    [
      header[0],
      header[1],
      ...header.slice(2).map((field, index) => (index === 6 ? field : escapeText(field))),
    ].join('|'),
    `MSA|${code}|${escapeText(heading.controlId)}`,
    ...problems.map((problem) => errorSegment(problem, 'E')),
    ...doubts.map((doubt) => errorSegment(doubt, 'W')),
  ]
  return lines.map((line) => `${line}\r`).join('')
}

function errorSegment({ code, segment, sequence, field, what }: Hl7Problem, severity: 'E' | 'W'): string {
  const place =
    segment === null ? '' : [segment, String(sequence), ...(field === null ? [] : [String(field)])].join('^')
  return [
    'ERR',
    '',
    place,
    `${code}^${ERROR_TEXT[code]}^HL70357`,
    severity,
    '',
    '',
    '',
    escapeText(what),
  ].join('|')
}
