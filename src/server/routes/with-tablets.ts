import type { LedgerEntryTold, Upload } from '../../api/schemas.ts'
import type { LedgerEntry } from '../../chart/chain.ts'
import type { FactEnvelope } from '../../chart/fact.ts'
import { hearTablet } from '../../store/tablets.ts'
import type { Context } from '../context.ts'
import type { SignedIn } from '../people.ts'
import { anotherLine } from '../problem.ts'

/** Notes what a tablet says of itself, so that of a lost one it is known what it had not sent. */
export async function hear(
  { people, facility, nowMs }: Pick<Context, 'people' | 'facility' | 'nowMs'>,
  { personId }: Pick<SignedIn, 'personId'>,
  { device, waiting }: Pick<Upload, 'device' | 'waiting'>,
): Promise<void> {
  if (device === undefined || waiting === undefined) return
  const key = { facility, device_id: device, person_id: personId }
  await hearTablet(people.db, key, { waiting, at: new Date(nowMs()).toISOString() })
}

/**
 * The hash of the entry up to which a tablet has taken over what concerns it; null for none. `mark` is the one that it
 * was told: whoever has taken something over was told one, and without it nobody knows of which ledger that was.
 * @throws Problem 409 when this ledger has another entry there, or none
 */
export async function markAt(
  { ledger, facility }: Pick<Context, 'ledger' | 'facility'>,
  after: number,
  mark: string | null,
): Promise<string | null> {
  if (after === 0) return null
  const known = await ledger.hashAt(facility, after)
  if (known === null || known !== mark) throw anotherLine()
  return known
}

/** An entry as tablets are told it. */
export function told({ sequence, receivedAt, deviceAheadMs, text }: LedgerEntry): LedgerEntryTold {
  return { sequence, receivedAt, deviceAheadMs, fact: JSON.parse(text) as FactEnvelope }
}
