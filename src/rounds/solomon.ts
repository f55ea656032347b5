import { type FlatProblem, NEVER } from './engine/flat.ts'

export type SolomonCustomer = {
  readonly id: number
  readonly x: number
  readonly y: number
  readonly demand: number
  readonly ready: number
  readonly due: number
  readonly service: number
}

/** A problem in Solomon's text format; row 0 is the depot. */
export type SolomonProblem = {
  readonly name: string
  readonly vehicles: number
  readonly capacity: number
  readonly rows: readonly SolomonCustomer[]
}

/** Thrown when a text is not in Solomon's format: says the line and what was expected there. */
export class SolomonFormatError extends Error {
  override readonly name = 'SolomonFormatError'
  readonly line: number
  constructor(line: number, message: string) {
    super(`line ${line}: ${message}`)
    this.line = line
  }
}

const FIELDS = 7

/**
 * Reads Solomon's text format (name; vehicle number and capacity; per customer number, x, y, demand, ready time, due
 * date, service time). Ready and due bound the start of service; the depot's due date bounds the return.
 * @throws SolomonFormatError
 */
export function parseSolomon(text: string): SolomonProblem {
  const lines = text.split(/\r?\n/).map((line) => line.trim())
  const fleet = lines.findIndex((line) => /^\d+\s+\d+$/.test(line))
  if (fleet < 0) throw new SolomonFormatError(1, 'no line with vehicle number and capacity')
  const [vehicles, capacity] = (lines[fleet] as string).split(/\s+/).map(Number) as [number, number]
  const rows: SolomonCustomer[] = []
  for (let i = fleet + 1; i < lines.length; i++) {
    const line = lines[i] as string
    // Headings stand above the rows; below the first row a word is damage, and the customer must not be lost.
    if (line === '' || (rows.length === 0 && /^[A-Za-z]/.test(line))) continue
    rows.push(parseRow(line, i + 1, rows.length))
  }
  if (rows.length === 0) throw new SolomonFormatError(lines.length, 'no depot row')
  return { name: lines.find((line) => line !== '') ?? '', vehicles, capacity, rows }
}

function parseRow(line: string, lineNumber: number, expectedId: number): SolomonCustomer {
  const numbers = line.split(/\s+/).map(Number)
  if (numbers.length !== FIELDS || numbers.some((value) => !Number.isFinite(value)))
    throw new SolomonFormatError(lineNumber, `expected ${FIELDS} numbers, found "${line}"`)
  const [id, x, y, demand, ready, due, service] = numbers as [
    number,
    number,
    number,
    number,
    number,
    number,
    number,
  ]
  if (id !== expectedId)
    throw new SolomonFormatError(lineNumber, `expected customer ${expectedId}, found ${id}`)
  if (demand < 0 || service < 0 || due < ready)
    throw new SolomonFormatError(lineNumber, 'negative demand or service time, or due date before ready time')
  return { id, x, y, demand, ready, due, service }
}

/**
 * `dimacs`: distances truncated to one decimal, floor(10 d)/10, total distance only.
 * `sintef`: double precision (kept here to 1/10 000, rounded up so that no window breaks), fewest vehicles first.
 */
export type SolomonConvention = 'dimacs' | 'sintef'

const SCALE: Readonly<Record<SolomonConvention, number>> = { dimacs: 10, sintef: 10_000 }

/** Distance between two rows in the convention's integers. */
export function solomonDistance(
  a: SolomonCustomer,
  b: SolomonCustomer,
  convention: SolomonConvention,
): number {
  const scaled = SCALE[convention] * Math.hypot(a.x - b.x, a.y - b.y)
  return convention === 'dimacs' ? Math.floor(scaled + 1e-9) : Math.ceil(scaled - 1e-6)
}

/** The problem as flat tables, with at most `vehicles` routes. A customer left out costs more than any tour. */
export function compileSolomon(
  problem: SolomonProblem,
  convention: SolomonConvention,
  vehicles: number = problem.vehicles,
): FlatProblem {
  const n = problem.rows.length - 1
  const k = vehicles
  const nodes = n + 3 * k
  const scale = SCALE[convention]
  const rowOf = (node: number) => problem.rows[node < n ? node + 1 : 0] as SolomonCustomer
  const table = (length: number, value: (index: number) => number) =>
    Int32Array.from({ length }, (_, i) => value(i))
  const rows = problem.rows.length
  const far = table(rows * rows, (i) =>
    solomonDistance(
      problem.rows[Math.floor(i / rows)] as SolomonCustomer,
      problem.rows[i % rows] as SolomonCustomer,
      convention,
    ),
  )
  const walk = new Int32Array(nodes * nodes)
  for (let a = 0; a < nodes; a++)
    for (let b = 0; b < nodes; b++)
      walk[a * nodes + b] = far[(a < n ? a + 1 : 0) * rows + (b < n ? b + 1 : 0)] as number
  const last = table(nodes, (i) => Math.floor(scale * rowOf(i).due))
  return {
    visits: n,
    routes: k,
    nodes,
    walk,
    edge: walk,
    walkInto: walk,
    edgeInto: walk,
    early: table(nodes, (i) => Math.ceil(scale * rowOf(i).ready)),
    onTime: last,
    last,
    duration: table(nodes, (i) => (i < n ? Math.round(scale * rowOf(i).service) : 0)),
    lateRate: new Int32Array(nodes),
    promise: new Int32Array(nodes).fill(NEVER),
    promiseRate: new Int32Array(nodes),
    freeRate: new Int32Array(nodes),
    freeUntil: last,
    drop: new Int32Array(n).fill(Math.min(10_000_000, 100_000 * scale)),
    demand: table(n, (i) => rowOf(i).demand),
    capacity: new Int32Array(k).fill(problem.capacity),
    allowed: new Int32Array(n * k).fill(1),
    assign: new Int32Array(n * k),
    groups: n,
    group: table(n, (i) => i),
    gap: new Int32Array(n),
    doses: table(n, (i) => i),
    doseFrom: table(n + 1, (i) => i),
    doseRank: table(n, (i) => i),
    seenBefore: new Int32Array(0),
    handover: 0,
    loadWeight: 0,
    loadBefore: new Int32Array(k),
    hasBreak: new Int32Array(k),
    kind: new Int32Array(k),
    awayAt: new Int32Array(n + 1),
    awayFrom: new Int32Array(0),
    awayUntil: new Int32Array(0),
    coupled: false,
    constant: 0,
    scale,
  }
}
