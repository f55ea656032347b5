import Database from 'libsql'
import pg from 'pg'
import { type LedgerEntry, nextEntry } from '../src/chart/chain.ts'
import { factText } from '../src/chart/fact.ts'
import type { AnyFact } from '../src/chart/registry.ts'
import { openDatabase } from '../src/store/database.ts'
import { LEDGER_COLUMNS } from '../src/store/insert-rows.ts'
import { Ledger } from '../src/store/ledger.ts'
import { rowOf } from '../src/store/ledger-rows.ts'
import type { LedgerRow } from '../src/store/schema.ts'
import { bedsideFacts } from '../test/torture/bedside-facts.ts'
import { Dice } from '../test/torture/dice.ts'
import { HERE, onPostgres, onSqlite, timed } from './ledger-measure.ts'

const BATCH = 500
const [SINGLES, BATCHES, WARM_UP] = [600, 90, 6] as const

/** Stores a batch in one durable transaction. */
type Store = (batch: Batch) => Promise<unknown>

/**
 * Facts a second that are on the disk when they are acknowledged: one at a time and in batches, through the ledger,
 * and as bare inserts of the same rows through the same driver: into the same table with its indexes and guards, and
 * into one with a key alone. Turn by turn, so that what else the machine does meets all alike.
 */
export async function benchDurable(): Promise<void> {
  for (const [name, open] of [
    ['SQLite', sqlite],
    ['PostgreSQL', postgres],
  ] as const) {
    const { ledger, raw, bare, close } = await open()
    try {
      const ways = { ledger, 'raw inserts, same table': raw, 'raw inserts, key only': bare }
      const single = await perSecond(ways, SINGLES, 1)
      const batched = await perSecond(ways, BATCHES, BATCH)
      console.log(`${name}, facts a second, durable:`)
      for (const way of Object.keys(ways))
        console.log(
          `  ${way.padEnd(26)} single ${single[way]?.toFixed(0).padStart(6)}   batches of ${BATCH}: ${batched[way]?.toFixed(0).padStart(6)}`,
        )
      const ratio = (of: Record<string, number>, to: string) => ((of.ledger ?? 0) / (of[to] ?? 1)).toFixed(2)
      console.log(
        `  ledger to raw inserts into the same table: single ${ratio(single, 'raw inserts, same table')}, batched ${ratio(batched, 'raw inserts, same table')}; into a table with a key only: batched ${ratio(batched, 'raw inserts, key only')}`,
      )
    } finally {
      await close()
    }
  }
}

/** A batch as a tablet sends it: what a few hands charted at the bedsides of a dozen orders. */
type Batch = { readonly facts: readonly AnyFact[]; readonly rows: readonly LedgerRow[] }

function batches(count: number, size: number): Batch[] {
  const hand = { facility: HERE, personId: 'amsel', device: 'bench', nowMs: Date.now, dice: new Dice(size) }
  let last: LedgerEntry | null = null
  return Array.from({ length: count }, () => {
    const facts = bedsideFacts(hand, size)
    const rows = facts.map((fact) => {
      const said = {
        facility: `elsewhere${size}`,
        factId: fact.id,
        receivedAt: fact.recordedAt,
        deviceAheadMs: null,
      }
      last = nextEntry(last, { ...said, text: factText(fact) })
      return rowOf(last, fact)
    })
    return { facts, rows }
  })
}

async function perSecond(
  ways: Readonly<Record<string, Store>>,
  turns: number,
  size: number,
): Promise<Record<string, number>> {
  const spent: Record<string, number> = {}
  // In an order thrown anew each time: what a database puts off (SQLite's checkpoints) would otherwise always meet the same.
  const order = new Dice(size)
  for (const [turn, batch] of batches(turns + WARM_UP, size).entries()) {
    for (const [way, store] of order.shuffled(Object.entries(ways))) {
      const { ms } = await timed(() => store(batch))
      if (turn >= WARM_UP) spent[way] = (spent[way] ?? 0) + ms
    }
  }
  return Object.fromEntries(Object.entries(spent).map(([way, ms]) => [way, (turns * size * 1000) / ms]))
}

const throughLedger =
  (ledger: Ledger): Store =>
  ({ facts }) =>
    ledger.append(HERE, { facts, receivedAt: new Date().toISOString(), deviceAheadMs: null })

const values = (row: LedgerRow) => LEDGER_COLUMNS.map((column) => row[column])
const BARE = `create table bare (${LEDGER_COLUMNS.map((column) => `${column} ${/sequence|_ms/.test(column) ? 'bigint' : 'text'}`).join(', ')}, primary key (facility, sequence))`

async function sqlite() {
  const place = await onSqlite()
  const open = openDatabase(place.address)
  const file = new Database(place.address)
  for (const pragma of ['journal_mode = WAL', 'synchronous = FULL', 'busy_timeout = 5000'])
    file.exec(`pragma ${pragma}`)
  file.exec(BARE)
  const into = (table: string): Store => {
    const statement = file.prepare(
      `insert into ${table} (${LEDGER_COLUMNS.join(', ')}) values (${LEDGER_COLUMNS.map(() => '?').join(', ')})`,
    )
    return async ({ rows }) => {
      file.exec('begin immediate')
      for (const row of rows) statement.run(...values(row))
      file.exec('commit')
    }
  }
  const close = async () => {
    file.close()
    await open.db.destroy()
    await place.close()
  }
  return { ledger: throughLedger(new Ledger(open)), raw: into('ledger'), bare: into('bare'), close }
}

async function postgres() {
  const place = await onPostgres()
  const open = openDatabase(place.address)
  const client = new pg.Client({ connectionString: place.address })
  await client.connect()
  await client.query(BARE)
  const into =
    (table: string): Store =>
    async ({ rows }) => {
      const row = (at: number) =>
        `(${LEDGER_COLUMNS.map((_, column) => `$${at * LEDGER_COLUMNS.length + column + 1}`).join(', ')})`
      await client.query('begin')
      await client.query(
        `insert into ${table} (${LEDGER_COLUMNS.join(', ')}) values ${rows.map((_, at) => row(at)).join(', ')}`,
        rows.flatMap(values),
      )
      await client.query('commit')
    }
  const close = async () => {
    await client.end()
    await open.db.destroy()
    await place.close()
  }
  return { ledger: throughLedger(new Ledger(open)), raw: into('ledger'), bare: into('bare'), close }
}
