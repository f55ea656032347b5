import type { Kysely } from 'kysely'
import type { Tables, TabletRow } from './schema.ts'

/** One person on one tablet. */
export type OnTablet = Pick<TabletRow, 'facility' | 'device_id' | 'person_id'>

/** The secret of a person on a tablet, made the first time that it is asked for. Two that ask at once get the same. */
export async function tabletSecret(
  db: Kysely<Tables>,
  key: OnTablet,
  made: { readonly secret: string; readonly at: string },
): Promise<string> {
  await db
    .insertInto('tablet')
    .values({ ...key, secret: made.secret, waiting: 0, heard_at: made.at, ended_at: null })
    .onConflict((conflict) => conflict.doNothing())
    .execute()
  const { secret } = await one(db, key).select('secret').executeTakeFirstOrThrow()
  return secret
}

/** Notes that a tablet was heard of, and how many facts it then still had to send. */
export async function hearTablet(
  db: Kysely<Tables>,
  key: OnTablet,
  heard: { readonly waiting: number; readonly at: string },
): Promise<void> {
  await db
    .updateTable('tablet')
    .set({ waiting: heard.waiting, heard_at: heard.at, ended_at: null })
    .where('facility', '=', key.facility)
    .where('device_id', '=', key.device_id)
    .where('person_id', '=', key.person_id)
    .execute()
}

/** Notes that a tablet was given up: its person was signed out from elsewhere. False when nobody knows it. */
export async function endTablet(db: Kysely<Tables>, key: OnTablet, at: string): Promise<boolean> {
  const { numUpdatedRows } = await db
    .updateTable('tablet')
    .set({ ended_at: at })
    .where('facility', '=', key.facility)
    .where('device_id', '=', key.device_id)
    .where('person_id', '=', key.person_id)
    .executeTakeFirst()
  return Number(numUpdatedRows) === 1
}

/** The tablets of a facility, the one heard of last first. Without their secrets. */
export function listTablets(db: Kysely<Tables>, facility: string): Promise<Omit<TabletRow, 'secret'>[]> {
  return db
    .selectFrom('tablet')
    .select(['facility', 'device_id', 'person_id', 'waiting', 'heard_at', 'ended_at'])
    .where('facility', '=', facility)
    .orderBy('heard_at', 'desc')
    .execute()
}

function one(db: Kysely<Tables>, key: OnTablet) {
  return db
    .selectFrom('tablet')
    .where('facility', '=', key.facility)
    .where('device_id', '=', key.device_id)
    .where('person_id', '=', key.person_id)
}
