import { sha256 } from '@noble/hashes/sha2.js'
import { bytesToHex, utf8ToBytes } from '@noble/hashes/utils.js'
import { canonicalJson } from './canonical.ts'

/**
 * One line of the ledger: a fact as it was stored, its place in the facility's sequence, when the server took it,
 * and the hash that ties it to the line before. `text` is the fact in canonical JSON, exactly as hashed.
 */
export type LedgerEntry = {
  readonly facility: string
  readonly sequence: number
  readonly factId: string
  readonly receivedAt: string
  /** How far the sending device's clock was ahead of the server's, in ms; null when it did not say. */
  readonly deviceAheadMs: number | null
  readonly text: string
  readonly previousHash: string
  readonly hash: string
}

/** What the first entry of a facility names as its predecessor. */
export const GENESIS_HASH = '0'.repeat(64)

/** SHA-256 (FIPS 180-4) of a text in UTF-8, in hexadecimal. A platform that has a faster one of its own gives it. */
export type Digest = (text: string) => string
const ownDigest: Digest = (text) => bytesToHex(sha256(utf8ToBytes(text)))

/** SHA-256 over the previous hash and everything the entry says, in hexadecimal. */
export function entryHash(entry: Omit<LedgerEntry, 'hash'>, digest = ownDigest): string {
  const { facility, sequence, factId, receivedAt, deviceAheadMs, text, previousHash } = entry
  return digest(canonicalJson({ facility, sequence, factId, receivedAt, deviceAheadMs, text, previousHash }))
}

/** The next entry after `last` (null for the first of a facility). */
export function nextEntry(
  last: Pick<LedgerEntry, 'sequence' | 'hash'> | null,
  said: Pick<LedgerEntry, 'facility' | 'factId' | 'receivedAt' | 'deviceAheadMs' | 'text'>,
  digest = ownDigest,
): LedgerEntry {
  const entry = { ...said, sequence: (last?.sequence ?? 0) + 1, previousHash: last?.hash ?? GENESIS_HASH }
  return { ...entry, hash: entryHash(entry, digest) }
}

/** What `verify` found: how many entries hold, and the first that does not. */
export type ChainReport =
  | { readonly kind: 'whole'; readonly entries: number; readonly lastHash: string }
  | {
      readonly kind: 'broken'
      readonly entries: number
      readonly sequence: number
      readonly factId: string
      readonly why: string
    }

/**
 * Walks the chain one entry at a time; feed entries in order of sequence, then ask for the report. Stops looking
 * at the first break, because nothing after it can be vouched for.
 */
export function chainChecker(digest = ownDigest): { take(entry: LedgerEntry): void; report(): ChainReport } {
  let last: Pick<LedgerEntry, 'sequence' | 'hash'> = { sequence: 0, hash: GENESIS_HASH }
  let entries = 0
  let broken: Extract<ChainReport, { kind: 'broken' }> | null = null
  return {
    take(entry) {
      if (broken) return
      const why = whyBroken(last, entry, digest)
      if (why) broken = { kind: 'broken', entries, sequence: entry.sequence, factId: entry.factId, why }
      entries += 1
      last = entry
    },
    report: () => broken ?? { kind: 'whole', entries, lastHash: last.hash },
  }
}

function whyBroken(
  last: Pick<LedgerEntry, 'sequence' | 'hash'>,
  entry: LedgerEntry,
  digest: Digest,
): string | null {
  if (entry.sequence !== last.sequence + 1) {
    return `after entry ${last.sequence} comes ${entry.sequence}: an entry is missing or out of place`
  }
  if (entry.previousHash !== last.hash) return 'it does not name the entry before it'
  if (entryHash(entry, digest) !== entry.hash) return 'its content is not what was hashed when it was stored'
  if (factIdIn(entry.text) !== entry.factId) return 'the fact inside is not the one the entry names'
  return null
}

function factIdIn(text: string): string | null {
  try {
    const parsed: unknown = JSON.parse(text)
    return typeof parsed === 'object' && parsed !== null && 'id' in parsed ? String(parsed.id) : null
  } catch {
    return null
  }
}
