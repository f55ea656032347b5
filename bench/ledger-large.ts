import { spawn } from 'node:child_process'
import { once } from 'node:events'
import { FactEnvelope } from '../src/chart/fact.ts'
import { Chart } from '../src/chart/folds/chart.ts'
import { factsOf } from '../src/server/facts-of.ts'
import { LiveChart } from '../src/server/live-chart.ts'
import { OnDemand } from '../src/server/on-demand.ts'
import { openDatabase } from '../src/store/database.ts'
import { Ledger } from '../src/store/ledger.ts'
import type { LedgerRow } from '../src/store/schema.ts'
import { TestWriter } from '../test/support/facts.ts'
import { BEDS, FACTS_A_STAY, stays, UNITS, unitName } from './ledger-facts.ts'
import { HERE, inWords, onPostgres, type Sizes, timed } from './ledger-measure.ts'

const TIMES = 60
const HOUR_MS = 3_600_000

/** A hospital's years on PostgreSQL: opening a unit's shift, a patient of any year, storing, and what a server loads. */
export async function benchLarge({ facts }: Sizes): Promise<void> {
  const place = await onPostgres()
  const endMs = Date.now()
  try {
    const filled = await timed(() => fill(place.address, facts, endMs))
    console.log(`${facts} facts written in ${(filled.ms / 1000).toFixed(0)} s`)
    await place.server.ask('ledger', 'vacuum analyze')
    const [size] = await place.server.ask(
      'ledger',
      'select pg_size_pretty(pg_database_size(current_database())) as size',
    )
    const [bare] = await place.server.ask('ledger', 'select count(*) as n from whereabouts where is_here = 1')
    console.log(`  the database takes ${size?.size}; ${bare?.n} patients are in the hospital`)
    // From a cold start of the database server; what the machine's own cache holds stays.
    await place.server.stop('SIGINT')
    await place.server.start()
    const ledger = new Ledger(openDatabase(place.address))
    await measure(ledger, facts, endMs)
    await ledger.close()
  } finally {
    await place.close()
  }
}

async function measure(ledger: Ledger, facts: number, endMs: number): Promise<void> {
  const record = new OnDemand(ledger, HERE)
  // The first of all stays had begun before the ledger did.
  const patients = Math.max(1, Math.floor(facts / FACTS_A_STAY) - BEDS)
  const patient = async (turn: number) => {
    const id = `pt-${BEDS + ((turn * 7919 * 31) % patients)}`
    const found = await record.read((chart) => {
      const orders = chart.ordersOf(id)
      return {
        patient: chart.patient(id),
        orders,
        visits: orders.flatMap(({ orderId }) => chart.visitsOf(orderId)),
      }
    })
    if (found.patient.mrn === null || found.orders.length === 0) throw new Error(`${id} was not found`)
  }
  console.log(`  opening a patient of any year:   ${await times(patient)}`)
  let [shown, counted] = [0, 0]
  const shift = async (turn: number) => {
    const window = {
      units: [unitName(turn % UNITS)],
      touchedSince: new Date(endMs - 72 * HOUR_MS).toISOString(),
      hereSince: new Date(endMs - 45 * 24 * HOUR_MS).toISOString(),
    }
    const entries = await ledger.aboutAny(HERE, 'patient', await ledger.livePatients(HERE, window))
    const chart = new Chart().add(factsOf(entries).facts)
    shown += chart.patients().length + chart.orders().length + chart.visits().length
    counted += entries.length
  }
  console.log(
    `  opening a unit's shift:          ${await times(shift)}; ${Math.round(counted / TIMES)} facts each`,
  )
  if (shown === 0) throw new Error('there was nobody on any unit')
  const live = new LiveChart(ledger, HERE)
  const loaded = await timed(() => live.now())
  console.log(
    `  loading what is live, once:      ${loaded.ms.toFixed(0)} ms; ${loaded.value.patients().length} patients`,
  )
  const writer = new TestWriter(new Date(endMs).toISOString(), 77)
  const store = async () => {
    const away = writer.write('patient-away', { patientId: 'pt-1' }, { reason: 'imaging' })
    const incoming = {
      facts: [FactEnvelope.parse(away)],
      receivedAt: new Date().toISOString(),
      deviceAheadMs: null,
    }
    await ledger.append(HERE, incoming)
  }
  console.log(`  storing a fact, durable:         ${await times(store)}`)
  console.log(
    `  what came after a cursor (2000): ${await times(async () => void (await ledger.after(HERE, facts - 2000, 2000)))}`,
  )
}

async function times(act: (turn: number) => Promise<void>): Promise<string> {
  const spent: number[] = []
  for (let turn = 0; turn < TIMES; turn += 1) spent.push((await timed(() => act(turn))).ms)
  return inWords(spent)
}

/** Writes the rows by COPY, the quick way into PostgreSQL, and files them as the ledger does. */
async function fill(address: string, count: number, endMs: number): Promise<void> {
  const copy = spawn(
    'psql',
    [
      '-q',
      '-v',
      'ON_ERROR_STOP=1',
      '-d',
      address,
      '-c',
      'set synchronous_commit = off',
      '-c',
      `copy ledger (${COLUMNS.join(', ')}) from stdin`,
    ],
    {
      stdio: ['pipe', 'ignore', 'inherit'],
    },
  )
  const ended = once(copy, 'close')
  let lines: string[] = []
  for (const row of stays(count, endMs)) {
    lines.push(line(row))
    if (lines.length < 2000) continue
    if (!copy.stdin.write(lines.join(''))) await once(copy.stdin, 'drain')
    lines = []
  }
  copy.stdin.end(lines.join(''))
  if ((await ended)[0] !== 0) throw new Error('psql did not take the rows')
  const open = openDatabase(address)
  await open.pool?.query(`insert into whereabouts
    select l.facility, l.patient_id, (min(text::json -> 'body' -> 'patch' -> 'place' ->> 'unit')), case when max(text::json -> 'body' ->> 'event') = 'discharged' then 0 else 1 end, max(received_at)
    from ledger l where kind = 'census-updated' group by 1, 2`)
  await open.pool?.query(
    `update whereabouts w set touched_at = t.last from (select facility, patient_id, max(received_at) as last from ledger where patient_id in (select patient_id from whereabouts where is_here = 1) group by 1, 2) t where t.facility = w.facility and t.patient_id = w.patient_id`,
  )
  await open.db.destroy()
}

const COLUMNS = [
  'facility',
  'sequence',
  'fact_id',
  'kind',
  'patient_id',
  'order_id',
  'visit_id',
  'person_id',
  'happened_at',
  'received_at',
  'device_ahead_ms',
  'text',
  'previous_hash',
  'hash',
] as const

/** A line of COPY's text format: tabs between, \N for null, a backslash doubled. */
function line(row: LedgerRow): string {
  const cells = COLUMNS.map((column) => {
    const value = row[column]
    return value === null ? '\\N' : String(value).replaceAll('\\', '\\\\')
  })
  return `${cells.join('\t')}\n`
}
