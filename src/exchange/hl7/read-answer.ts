import { decodeMessage } from './decode-message.ts'
import { parseMessage, SegmentReader } from './message.ts'

/** An acknowledgment of a message of ours: what it says, of which message, and why, in the sender's words. */
export type ReadAnswer = {
  readonly verdict: 'accepted' | 'error' | 'rejected'
  readonly controlId: string
  readonly text: string
  readonly why: string
}

/** Table 0008, the enhanced mode's codes with them: a commit accept means that the receiver has it and keeps it. */
const VERDICTS: Readonly<Record<string, ReadAnswer['verdict']>> = {
  AA: 'accepted',
  CA: 'accepted',
  AE: 'error',
  CE: 'error',
  AR: 'rejected',
  CR: 'rejected',
}

/** Reads the bytes of one frame as an answer; null when it is none, so that the line goes on waiting for one. */
export function readAnswer(bytes: Uint8Array): ReadAnswer | null {
  const decoded = decodeMessage(bytes)
  const message = decoded.ok ? parseMessage(decoded.text) : null
  if (!decoded.ok || !message) return null
  const readers = message.segments.map((segment) => new SegmentReader(segment, message.delimiters))
  const msa = readers.find(({ segment }) => segment.name === 'MSA')
  const code = msa?.text(1) ?? ''
  const verdict = VERDICTS[code]
  if (!msa || verdict === undefined) return null
  const said = readers
    .filter(({ segment }) => segment.name === 'ERR')
    .map((err) => err.whole(8) ?? err.text(7) ?? [err.text(3), err.text(3, 2)].filter(Boolean).join(' '))
  const why = [code, msa.text(3), ...said].filter(Boolean).join(': ')
  return { verdict, controlId: msa.text(2) ?? '', text: decoded.text, why: why.slice(0, 4000) }
}
