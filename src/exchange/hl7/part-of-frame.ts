import { decodeMessage, latin1 } from './decode-message.ts'
import type { Frame } from './mllp.ts'
import type { ErrorCode, Hl7Problem } from './problem.ts'
import { type Part, strayMark } from './split.ts'

/**
 * What came on a line, as it is read and kept: bytes that no text of its character set could give back are kept as
 * base64. A frame that cannot be used whole is still answered where its header can be read, because its sender waits.
 */
export function partOfFrame(frame: Frame): Part {
  if (frame.kind === 'noise') return partOfNoise(frame)
  const decoded = decodeMessage(frame.bytes)
  if (!decoded.ok) return undecoded(frame.bytes, wrong(decoded.code, 18, decoded.what))
  const stray = strayMark(decoded.text)
  return { text: decoded.text, whyNot: null, ...(stray !== null && { wrong: [wrong('102', null, stray)] }) }
}

function partOfNoise({ what, content, isTooLarge }: Extract<Frame, { kind: 'noise' }>): Part {
  if (!isTooLarge) return { text: latin1(content), whyNot: `${what}; not read`, base64: base64(content) }
  const told = `${what}, so only its beginning was kept and nothing was read from it`
  return undecoded(content.subarray(1), wrong('102', null, told))
}

function undecoded(bytes: Uint8Array, problem: Hl7Problem): Part {
  return { text: latin1(bytes), whyNot: null, wrong: [problem], base64: base64(bytes) }
}

function wrong(code: ErrorCode, field: number | null, what: string): Hl7Problem {
  return { code, segment: 'MSH', sequence: 1, field, what }
}

function base64(bytes: Uint8Array): string {
  return btoa(latin1(bytes))
}
