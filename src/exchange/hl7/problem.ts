/** Codes of HL7 table 0357, in words of our own. */
export const ERROR_TEXT = {
  '100': 'segments are out of order or one is missing',
  '101': 'a required field is missing',
  '102': 'a field is not of its type',
  '103': 'a value is not in its table',
  '200': 'this kind of message is not supported',
  '201': 'this event is not supported',
  '202': 'this processing id is not supported',
  '203': 'this version is not supported',
  '205': 'the same key was used before',
} as const
export type ErrorCode = keyof typeof ERROR_TEXT

/** What is wrong in a message, and where: segment, which of its name, field. */
export type Hl7Problem = {
  readonly code: ErrorCode
  readonly segment: string | null
  readonly sequence: number
  readonly field: number | null
  readonly what: string
}

/** "RXE-3", as people write it. */
export function placeOf({ segment, field }: Hl7Problem): string {
  return segment === null ? '' : field === null ? segment : `${segment}-${field}`
}

/** Refused as a whole before its content was looked at (AR), rather than for its content (AE)? */
export function isRejection(problem: Hl7Problem): boolean {
  return ['200', '201', '202', '203'].includes(problem.code)
}
