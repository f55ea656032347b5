import { sha256 } from '@noble/hashes/sha2.js'
import { bytesToHex, utf8ToBytes } from '@noble/hashes/utils.js'
import type { Kysely, Transaction } from 'kysely'
import { canonicalJson } from '../chart/canonical.ts'
import { GENESIS_HASH } from '../chart/chain.ts'
import type { AccessRow, Tables } from './schema.ts'

/** Who looked at, printed or took out what, and when. Ids only. */
export type Access = Omit<AccessRow, 'sequence' | 'previous_hash' | 'hash'>

/** SHA-256 over everything a note says and the hash of the one before, like the ledger's own chain. */
function accessHash(row: Omit<AccessRow, 'hash'>): string {
  return bytesToHex(sha256(utf8ToBytes(canonicalJson(row))))
}

/** Writes a note at the end of the facility's list, within a transaction that no other note can enter. */
export async function noteAccess(transaction: Transaction<Tables>, access: Access): Promise<void> {
  const last = await transaction
    .selectFrom('access_log')
    .select(['sequence', 'hash'])
    .where('facility', '=', access.facility)
    .orderBy('sequence', 'desc')
    .limit(1)
    .executeTakeFirst()
  const said = {
    ...access,
    sequence: (last?.sequence ?? 0) + 1,
    previous_hash: last?.hash ?? GENESIS_HASH,
  }
  await transaction
    .insertInto('access_log')
    .values({ ...said, hash: accessHash(said) })
    .execute()
}

export function accessAfter(
  db: Kysely<Tables>,
  facility: string,
  sequence: number,
  limit: number,
  personId?: string,
): Promise<AccessRow[]> {
  return db
    .selectFrom('access_log')
    .selectAll()
    .where('facility', '=', facility)
    .where('sequence', '>', sequence)
    .$if(personId !== undefined, (query) => query.where('person_id', '=', personId ?? ''))
    .orderBy('sequence')
    .limit(limit)
    .execute()
}

/** Whether each note of a facility follows the one before unchanged; the number of the first that does not, or null. */
export async function firstBrokenNote(
  pages: (after: number) => Promise<readonly AccessRow[]>,
): Promise<number | null> {
  let last = { sequence: 0, hash: GENESIS_HASH }
  while (true) {
    const page = await pages(last.sequence)
    for (const row of page) {
      const { hash, ...said } = row
      const follows = row.sequence === last.sequence + 1 && row.previous_hash === last.hash
      if (!follows || accessHash(said) !== hash) return row.sequence
      last = row
    }
    if (page.length === 0) return null
  }
}
