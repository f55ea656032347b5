import { Chart } from '../../src/chart/folds/chart.ts'
import { readFact } from '../../src/chart/registry.ts'
import { firstBrokenNote } from '../../src/store/access-log.ts'
import { openDatabase } from '../../src/store/database.ts'
import { Ledger } from '../../src/store/ledger.ts'
import { verifyLedger } from '../../src/store/verify.ts'
import type { BrowserTablet } from './browser-tablet.ts'
import { type ChartDigest, shiftDigest } from './chart-digest.ts'
import { FACILITY, type Hospital } from './hospital.ts'
import type { Tablet } from './tablet.ts'

export type Verdict = {
  readonly facts: number
  readonly acknowledged: number
  readonly keptByBrowser: number
  readonly messages: number
  /** What is wrong, in words; empty when every promise was kept. */
  readonly broken: readonly string[]
}

/** Looks, once all is quiet, whether every promise was kept. */
export async function judge(
  hospital: Hospital,
  tablets: readonly Tablet[],
  browser: BrowserTablet,
): Promise<Verdict> {
  const ledger = new Ledger(openDatabase(hospital.database))
  try {
    const stored = await everything(ledger)
    const broken = [
      ...(await chains(ledger)),
      ...stored.twice.map((id) => `fact ${id} is there twice`),
      ...tablets.flatMap((tablet) => missingFacts(tablet, stored.sequences)),
      ...[...browser.kept]
        .filter((id) => !stored.sequences.has(id))
        .map((id) => `the browser's fact ${id} is lost`),
      ...tablets.flatMap((tablet) => missingMessages(tablet, stored.messages)),
      ...(await differences(stored.chart, tablets, browser)),
      ...browser.troubles.map((trouble) => `the browser's page failed: ${trouble}`),
      ...tablets
        .filter(({ refused }) => refused > 0)
        .map(({ refused }) => `${refused} good facts of a tablet were refused`),
    ]
    return {
      facts: stored.sequences.size,
      acknowledged: tablets.reduce((sum, tablet) => sum + tablet.acknowledged.size, 0),
      keptByBrowser: browser.kept.size,
      messages: tablets.reduce((sum, tablet) => sum + tablet.accepted.size, 0),
      broken,
    }
  } finally {
    await ledger.close()
  }
}

async function everything(ledger: Ledger) {
  const sequences = new Map<string, number>()
  const messages = new Map<string, number>()
  const twice: string[] = []
  const chart = new Chart()
  for await (const { factId, sequence, text, deviceAheadMs } of ledger.entries(FACILITY)) {
    if (sequences.has(factId)) twice.push(factId)
    sequences.set(factId, sequence)
    const read = readFact(JSON.parse(text))
    if (!read.ok) throw new Error(`fact ${factId} in the ledger cannot be read`)
    chart.add([read.fact], deviceAheadMs === null ? undefined : new Map([[factId, deviceAheadMs]]))
    if (read.fact.kind !== 'message-received') continue
    const controlId = /^MSH(?:\|[^|]*){8}\|([^|]*)/.exec(read.fact.body.raw)?.[1] ?? ''
    messages.set(controlId, (messages.get(controlId) ?? 0) + 1)
  }
  return { sequences, messages, twice, chart }
}

async function chains(ledger: Ledger): Promise<string[]> {
  const report = await verifyLedger(ledger, FACILITY)
  const note = await firstBrokenNote((after) => ledger.accessAfter(FACILITY, after, 2000))
  return [
    ...(report.kind === 'broken' ? [`the chain breaks at ${report.sequence}: ${report.why}`] : []),
    ...(note === null ? [] : [`the access log breaks at ${note}`]),
  ]
}

function missingFacts(tablet: Tablet, sequences: ReadonlyMap<string, number>): string[] {
  return [...tablet.acknowledged].flatMap(([id, sequence]) =>
    sequences.get(id) === sequence
      ? []
      : [`fact ${id} was acknowledged as ${sequence}, and is ${sequences.get(id) ?? 'lost'}`],
  )
}

function missingMessages(tablet: Tablet, messages: ReadonlyMap<string, number>): string[] {
  return [...tablet.accepted].flatMap((id) =>
    messages.get(id) === 1 ? [] : [`message ${id} was accepted, and is there ${messages.get(id) ?? 0} times`],
  )
}

async function differences(
  chart: Chart,
  tablets: readonly Tablet[],
  browser: BrowserTablet,
): Promise<string[]> {
  const ledger = shiftDigest(chart)
  const onTablets = tablets.flatMap((tablet, at) =>
    unlike(`tablet ${at + 1}`, shiftDigest(tablet.chart()), ledger),
  )
  return [...onTablets, ...unlike('the browser', await browser.digest(), ledger)]
}

function unlike(name: string, digest: ChartDigest, ledger: ChartDigest): string[] {
  if (digest.hash === ledger.hash) return []
  return Object.keys(ledger.parts)
    .filter((part) => ledger.parts[part] !== digest.parts[part])
    .map((part) => `${name} folds other ${part} than the ledger`)
}
