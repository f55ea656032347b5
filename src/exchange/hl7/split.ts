import { type Frame, MllpDecoder } from './mllp.ts'
import type { Hl7Problem } from './problem.ts'

/** One message as it came. `whyNot` says why it must not be read although it is kept: its ends are not sure. */
export type Part = {
  readonly text: string
  readonly whyNot: string | null
  /** What is wrong with it before it is read; told and answered, and nothing is made of it. */
  readonly wrong?: readonly Hl7Problem[]
  /** The bytes, where the text does not give them back. */
  readonly base64?: string
}

/**
 * The messages of a file or a paste: MLLP frames where there are any, otherwise a message from each header line to the
 * next. Headers and trailers of batches (FHS, BHS, BTS, FTS) are passed over. Text without any header is one message
 * that cannot be read, and is kept as such; so is what stands outside the frames or was cut short, and a message in
 * which a frame mark (0x0B or 0x1C) went astray.
 */
export function splitMessages(text: string): Part[] {
  if (text.includes('\u000b')) {
    const decoder = new MllpDecoder(Number.POSITIVE_INFINITY)
    const frames = [...decoder.take(new TextEncoder().encode(text)), ...decoder.finish()]
    if (frames.some(({ kind }) => kind === 'message')) return frames.map(partOf)
  }
  return splitLines(text).map((each) => ({ text: each, whyNot: strayMark(each) }))
}

function partOf(frame: Frame): Part {
  const decode = (bytes: Uint8Array) => new TextDecoder().decode(bytes)
  if (frame.kind === 'noise') return { text: decode(frame.content), whyNot: `${frame.what}; not read` }
  const text = decode(frame.bytes)
  return { text, whyNot: strayMark(text) }
}

/** Why a text with a frame mark in it is not to be used; null when there is none. */
export function strayMark(text: string): string | null {
  return text.includes('\u000b') || text.includes('\u001c')
    ? 'a frame mark (0x0B or 0x1C) stands in the message, so where it begins and ends is not sure; not read'
    : null
}

function splitLines(text: string): string[] {
  const messages: string[][] = []
  for (const line of text.replace(/^\uFEFF/, '').split(/\r\n|\r|\n/)) {
    if (/^[^\S\v]*$/.test(line) || /^(FHS|BHS|BTS|FTS)\b/.test(line)) continue
    if (line.startsWith('MSH') || messages.length === 0) messages.push([line])
    else messages.at(-1)?.push(line)
  }
  return messages.map((lines) => `${lines.join('\r')}\r`)
}
