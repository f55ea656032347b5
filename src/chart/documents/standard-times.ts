import { z } from 'zod'
import defaults from './data/standard-times.json' with { type: 'json' }
import {
  ClockTime,
  type DocumentProblem,
  defineDocument,
  Id,
  repeated,
  StatedSources,
  sourceProblems,
  Text,
} from './document-kind.ts'

/**
 * What happens when an order begins between two standard times.
 * - `now-then-half-interval`: a first dose at the start; then the standard times, without those that come before
 *   half the interval has passed (the interval being the shortest gap between the code's standard times).
 * - `wait-within-half-interval`: no extra dose when the next standard time is nearer than half the interval.
 * - `next-standard-time`: never an extra dose.
 */
export const FIRST_DOSE_RULES = [
  'now-then-half-interval',
  'wait-within-half-interval',
  'next-standard-time',
] as const

const Row = z.strictObject({ code: Id, times: z.array(ClockTime).min(1).max(24) })
const Table = z.strictObject({ name: Id, rows: z.array(Row), source: Id })

/** At what times of day a frequency code falls due here. */
const StandardTimes = z.strictObject({
  tables: z.array(Table).min(1),
  /** The table that this department works by. */
  inUse: Id,
  /** Tables looked into, in this order, for a code that the table in use does not have. */
  thenLookIn: z.array(Id),
  firstDose: z.strictObject({ rule: z.enum(FIRST_DOSE_RULES), source: Id }),
  /** When patients are taken to be awake, for orders that say so. */
  awake: z.strictObject({ from: ClockTime, to: ClockTime, source: Id }),
  note: Text.nullable(),
  sources: StatedSources,
})
export type StandardTimes = z.infer<typeof StandardTimes>

function check(content: StandardTimes): DocumentProblem[] {
  const names = content.tables.map((table) => table.name)
  const chosen = [content.inUse, ...content.thenLookIn]
  return [
    ...repeated('tables', names),
    ...repeated('thenLookIn', chosen),
    ...chosen
      .filter((name) => !names.includes(name))
      .map((name) => ({ where: 'inUse', what: `there is no table called ${name}` })),
    ...content.tables.flatMap(tableProblems),
    ...(content.awake.from < content.awake.to
      ? []
      : [{ where: 'awake', what: 'waking must come before falling asleep, on one day' }]),
    ...sourceProblems(content.sources, [
      ...content.tables.map(({ name, source }) => ({ where: `tables.${name}`, key: source })),
      { where: 'firstDose', key: content.firstDose.source },
      { where: 'awake', key: content.awake.source },
    ]),
  ]
}

function tableProblems({ name, rows }: z.infer<typeof Table>): DocumentProblem[] {
  const where = `tables.${name}`
  return [
    ...repeated(
      where,
      rows.map((row) => row.code),
    ),
    ...rows.flatMap(({ code, times }) => [
      ...repeated(`${where}.${code}`, times),
      ...countProblems(`${where}.${code}`, code, times.length),
    ]),
  ]
}

/** A code that says how many doses a day it means must have that many times. */
function countProblems(where: string, code: string, given: number): DocumentProblem[] {
  const needed = dosesADay(code)
  if (needed === null || needed === given) return []
  return [{ where, what: `${code} means ${needed} times a day; ${given} stand there` }]
}

function dosesADay(code: string): number | null {
  const named: Readonly<Record<string, number>> = { QD: 1, BID: 2, TID: 3, QID: 4 }
  const hours = /^Q(\d+)H$/.exec(code)?.[1]
  const count = /^(\d+)ID$/.exec(code)?.[1]
  if (hours !== undefined && 24 % Number(hours) === 0) return 24 / Number(hours)
  return count === undefined ? (named[code] ?? null) : Number(count)
}

export const STANDARD_TIMES = defineDocument({
  name: 'standard-times',
  title: 'Standard times of day',
  schema: StandardTimes,
  defaults,
  check,
})
