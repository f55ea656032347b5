import { type Kysely, sql, type Transaction } from 'kysely'
import { fileSettling, refile } from './finders.ts'
import { partitionByFacility } from './partitions.ts'
import { PEOPLE, SIGN_IN } from './people-tables.ts'
import type { Tables } from './schema.ts'

export type DatabaseKind = 'sqlite' | 'postgres'

/** One step of the schema, done once and never changed afterwards. */
export type SchemaStep = {
  readonly name: string
  readonly statements: Readonly<Record<DatabaseKind, readonly string[]>>
  /** What is to be worked out from what is there, once the statements are done. */
  readonly fill?: (transaction: Transaction<Tables>) => Promise<void>
}

const LEDGER = `create table ledger (
  facility text not null,
  sequence bigint not null,
  fact_id text not null,
  kind text not null,
  patient_id text,
  order_id text,
  visit_id text,
  person_id text not null,
  happened_at text not null,
  received_at text not null,
  device_ahead_ms bigint,
  text text not null,
  previous_hash text not null,
  hash text not null,
  primary key (facility, sequence),
  unique (facility, fact_id)
)`

const INDEXES = [
  'create index ledger_patient on ledger (facility, patient_id, sequence)',
  'create index ledger_order on ledger (facility, order_id, sequence)',
  'create index ledger_visit on ledger (facility, visit_id, sequence)',
  'create index ledger_person on ledger (facility, person_id, sequence)',
  'create index ledger_kind on ledger (facility, kind, sequence)',
]

const REFUSAL = 'the ledger is append-only: an entry is never changed or deleted'

const SQLITE_GUARDS = (table: string) => [
  `create trigger ${table}_no_update before update on ${table} begin select raise(abort, '${REFUSAL}'); end`,
  `create trigger ${table}_no_delete before delete on ${table} begin select raise(abort, '${REFUSAL}'); end`,
]

const POSTGRES_GUARDS = (table: string) => [
  `create trigger ${table}_append_only before update or delete on ${table} for each row execute function refuse_change()`,
  `create trigger ${table}_no_truncate before truncate on ${table} for each statement execute function refuse_change()`,
]

const POSTGRES_REFUSAL = `create function refuse_change() returns trigger language plpgsql as $$
begin raise exception '${REFUSAL}'; end $$`

const ACCESS = `create table access_log (
  facility text not null,
  sequence bigint not null,
  at text not null,
  person_id text not null,
  what text not null,
  about text,
  request_id text not null,
  previous_hash text not null,
  hash text not null,
  primary key (facility, sequence)
)`

const ACCESS_INDEX = 'create index access_log_person on access_log (facility, person_id, sequence)'

const LEASE = `create table lease (
  facility text not null,
  name text not null,
  owner text not null,
  until_ms bigint not null,
  primary key (facility, name)
)`

const TABLET = `create table tablet (
  facility text not null,
  device_id text not null,
  person_id text not null,
  secret text not null,
  waiting bigint not null,
  heard_at text not null,
  ended_at text,
  primary key (facility, device_id, person_id)
)`

const ALSO_ABOUT = `create table also_about (
  facility text not null,
  subject text not null,
  id text not null,
  sequence bigint not null,
  kind text not null,
  primary key (facility, subject, id, sequence)
)`

const WHEREABOUTS = [
  `create table whereabouts (
  facility text not null,
  patient_id text not null,
  unit text,
  is_here integer not null,
  touched_at text not null,
  primary key (facility, patient_id)
)`,
  'create index whereabouts_touched on whereabouts (facility, touched_at)',
  'create index whereabouts_unit on whereabouts (facility, is_here, unit, touched_at)',
]

/** The schema, step by step. New steps go to the end. */
export const STEPS: readonly SchemaStep[] = [
  {
    name: '001 ledger',
    statements: {
      sqlite: [LEDGER, ...INDEXES, ...SQLITE_GUARDS('ledger')],
      postgres: [LEDGER, ...INDEXES, POSTGRES_REFUSAL, ...POSTGRES_GUARDS('ledger')],
    },
  },
  {
    name: '002 access log',
    statements: {
      sqlite: [ACCESS, ACCESS_INDEX, ...SQLITE_GUARDS('access_log')],
      postgres: [ACCESS, ACCESS_INDEX, ...POSTGRES_GUARDS('access_log')],
    },
  },
  { name: '003 people', statements: { sqlite: PEOPLE, postgres: PEOPLE } },
  { name: '004 sign-in', statements: SIGN_IN },
  { name: '005 lease', statements: { sqlite: [LEASE], postgres: [LEASE] } },
  {
    name: '006 partition by facility',
    statements: {
      sqlite: [],
      postgres: partitionByFacility(
        { create: LEDGER, indexes: INDEXES },
        { create: ACCESS, indexes: [ACCESS_INDEX] },
      ),
    },
  },
  { name: '007 tablet', statements: { sqlite: [TABLET], postgres: [TABLET] } },
  {
    name: '008 finders',
    statements: { sqlite: [ALSO_ABOUT, ...WHEREABOUTS], postgres: [ALSO_ABOUT, ...WHEREABOUTS] },
    fill: refile,
  },
  // Messages of which something stayed undone, and what was settled, are filed too.
  { name: '009 unsettled', statements: { sqlite: [], postgres: [] }, fill: fileSettling },
]

/** The steps that a database still needs, in order. Changes nothing: this is the dry run. */
export async function stepsToDo(db: Kysely<Tables>): Promise<readonly SchemaStep[]> {
  const tables = await db.introspection.getTables()
  if (!tables.some(({ name }) => name === 'schema_step')) return STEPS
  return notDone(db)
}

/** Thrown when a newer version of the program has worked on a database; nothing was changed. */
export class DatabaseIsNewer extends Error {
  override readonly name = 'DatabaseIsNewer'
  constructor(steps: readonly string[]) {
    super(
      `the database was brought up by a newer version (it has ${steps.join(', ')}, which this one does not know). ` +
        'Nothing was changed. Start the newer version, or restore the backup made before it',
    )
  }
}

/** @throws DatabaseIsNewer */
async function notDone(db: Kysely<Tables>): Promise<readonly SchemaStep[]> {
  const done = await db.selectFrom('schema_step').select('step').execute()
  const names = new Set(done.map(({ step }) => step))
  const unknown = [...names].filter((step) => !STEPS.some(({ name }) => name === step))
  if (unknown.length > 0) throw new DatabaseIsNewer(unknown)
  return STEPS.filter(({ name }) => !names.has(name))
}

/**
 * Brings a database up to date, wholly or not at all. Of several servers that start at once on one database, one
 * does the steps and the others wait. Gives the names of the steps done.
 */
export async function migrate(db: Kysely<Tables>, kind: DatabaseKind, now: string): Promise<string[]> {
  return db.transaction().execute(async (transaction) => {
    if (kind === 'postgres') await sql`select pg_advisory_xact_lock(${SCHEMA_LOCK})`.execute(transaction)
    await transaction.schema
      .createTable('schema_step')
      .ifNotExists()
      .addColumn('step', 'text', (column) => column.primaryKey())
      .addColumn('done_at', 'text', (column) => column.notNull())
      .execute()
    const steps = await notDone(transaction)
    for (const step of steps) await doStep(transaction, step, kind, now)
    return steps.map(({ name }) => name)
  })
}

/** Any number that no other program locks in this database. */
const SCHEMA_LOCK = 7_208_451

async function doStep(
  transaction: Transaction<Tables>,
  { name, statements, fill }: SchemaStep,
  kind: DatabaseKind,
  now: string,
): Promise<void> {
  for (const statement of statements[kind]) await sql.raw(statement).execute(transaction)
  await fill?.(transaction)
  await transaction.insertInto('schema_step').values({ step: name, done_at: now }).execute()
}
