import type { Kysely } from 'kysely'
import type { Tables } from './schema.ts'

/** One process does something for a while, and no other on the same database does it meanwhile. */
export type Lease = {
  readonly facility: string
  readonly name: string
  /** Names the process; the same owner may take its lease again, to keep it longer. */
  readonly owner: string
  readonly nowMs: number
  readonly forMs: number
}

/** Takes a lease, or keeps it longer. False while another owner has it. */
export async function takeLease(db: Kysely<Tables>, lease: Lease): Promise<boolean> {
  const { facility, name, owner, nowMs, forMs } = lease
  const until = { owner, until_ms: nowMs + forMs }
  const taken = await db
    .insertInto('lease')
    .values({ facility, name, ...until })
    .onConflict((conflict) =>
      conflict
        .columns(['facility', 'name'])
        .doUpdateSet(until)
        .where((where) => where.or([where('lease.owner', '=', owner), where('lease.until_ms', '<=', nowMs)])),
    )
    .returning('owner')
    .execute()
  return taken.length > 0
}

/** Gives a lease back, so that another process need not wait for its end. */
export async function endLease(
  db: Kysely<Tables>,
  { facility, name, owner }: Pick<Lease, 'facility' | 'name' | 'owner'>,
): Promise<void> {
  await db
    .deleteFrom('lease')
    .where('facility', '=', facility)
    .where('name', '=', name)
    .where('owner', '=', owner)
    .execute()
}
