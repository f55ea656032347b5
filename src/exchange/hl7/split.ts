import { MllpDecoder } from './mllp.ts'

/**
 * The messages of a file or a paste: MLLP frames where there are any, otherwise a message from each header line to the
 * next. Headers and trailers of batches (FHS, BHS, BTS, FTS) are passed over. Text without any header is one message
 * that cannot be read, and is kept as such.
 */
export function splitMessages(text: string): string[] {
  if (text.includes('\u000b')) {
    return new MllpDecoder()
      .take(new TextEncoder().encode(text))
      .flatMap((frame) => (frame.kind === 'message' ? [new TextDecoder().decode(frame.bytes)] : []))
  }
  const messages: string[][] = []
  for (const line of text.replace(/^\uFEFF/, '').split(/\r\n|\r|\n/)) {
    if (line.trim() === '' || /^(FHS|BHS|BTS|FTS)\b/.test(line)) continue
    if (line.startsWith('MSH') || messages.length === 0) messages.push([line])
    else messages.at(-1)?.push(line)
  }
  return messages.map((lines) => `${lines.join('\r')}\r`)
}
