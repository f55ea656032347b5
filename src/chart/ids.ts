import { sha256 } from '@noble/hashes/sha2.js'
import { bytesToHex, utf8ToBytes } from '@noble/hashes/utils.js'

/** What an id is made from: both are inputs, so that tests and replays make the same ids. */
export type IdSource = { readonly nowMs: () => number; readonly randomBytes: (length: number) => Uint8Array }

/**
 * A UUID of version 7 (RFC 9562, section 5.7): 48 bits of milliseconds, then random bits, so that ids made
 * later sort later.
 */
export function uuidv7(source: IdSource): string {
  const bytes = source.randomBytes(16)
  let ms = source.nowMs()
  for (let i = 5; i >= 0; i -= 1) {
    bytes[i] = ms % 256
    ms = Math.floor(ms / 256)
  }
  bytes[6] = 0x70 | ((bytes[6] ?? 0) & 0x0f)
  bytes[8] = 0x80 | ((bytes[8] ?? 0) & 0x3f)
  const hex = bytesToHex(bytes)
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join('-')
}

/**
 * The id of something that the hospital already numbers (a patient, an order, a message). The same number always
 * gives the same id, so a message that arrives twice speaks of one thing; and the number itself never stands in
 * a web address or a log.
 */
export function idOfNumber(what: 'patient' | 'order' | 'message', facility: string, number: string): string {
  const digest = sha256(utf8ToBytes(JSON.stringify([what, facility, number])))
  return `${what}-${bytesToHex(digest).slice(0, 24)}`
}
