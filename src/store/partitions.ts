/**
 * On PostgreSQL the two growing tables are partitioned by facility, so that a hospital can have tables of its own: on
 * its own disk, backed up, detached or moved alone. A hospital without any lives in the default partition.
 */
type Partitioned = {
  readonly table: string
  /** Statements that make the table and its indexes anew. */
  readonly create: string
  readonly indexes: readonly string[]
  /** Constraints and indexes as the plain table has them. */
  readonly names: readonly string[]
}

const guards = (table: string) => [
  `create trigger ${table}_append_only before update or delete on ${table} for each row execute function refuse_change()`,
  `create trigger ${table}_no_truncate before truncate on ${table} for each statement execute function refuse_change()`,
]

/** The plain table becomes the default partition as it stands: no entry is copied or touched. */
function partition({ table, create, indexes, names }: Partitioned): readonly string[] {
  const others = `${table}_others`
  return [
    `alter table ${table} rename to ${others}`,
    ...names.map((name) => `alter index ${name} rename to ${name.replace(table, others)}`),
    `drop trigger ${table}_append_only on ${others}`,
    `alter trigger ${table}_no_truncate on ${others} rename to no_truncate`,
    `${create} partition by list (facility)`,
    ...indexes,
    ...guards(table),
    `alter table ${table} attach partition ${others} default`,
  ]
}

/** A truncation of the table asks no trigger of a partition, and one of a partition none of the table: both have one. */
const OWN_PARTITION = `create function own_partition(named text) returns void language plpgsql as $$
declare base text;
begin
  foreach base in array array['ledger', 'access_log'] loop
    execute format('create table %I partition of %I for values in (%L)', base || '_' || named, base, named);
    execute format('create trigger no_truncate before truncate on %I for each statement execute function refuse_change()', base || '_' || named);
  end loop;
end $$`

/** The statements of the step, from how the plain tables were made. */
export function partitionByFacility(
  ledger: Pick<Partitioned, 'create' | 'indexes'>,
  access: Pick<Partitioned, 'create' | 'indexes'>,
): readonly string[] {
  return [
    ...partition({ table: 'ledger', ...ledger, names: namesOf('ledger', ledger.indexes, ['fact_id']) }),
    ...partition({ table: 'access_log', ...access, names: namesOf('access_log', access.indexes, []) }),
    OWN_PARTITION,
  ]
}

/** Names that PostgreSQL gives to a key, and those that the indexes were given. */
function namesOf(table: string, indexes: readonly string[], unique: readonly string[]): string[] {
  const named = indexes.map((statement) => statement.split(' ')[2] ?? '')
  return [`${table}_pkey`, ...unique.map((column) => `${table}_facility_${column}_key`), ...named]
}
