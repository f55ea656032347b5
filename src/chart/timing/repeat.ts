import type { Source } from '../../clinical/worked.ts'
import { sourcesOf } from '../documents/document-kind.ts'
import type { StandardTimes } from '../documents/standard-times.ts'
import type { Frequency, OrderBody } from '../facts/orders.ts'
import { spelled } from './frequency-code.ts'
import { TIMING_SOURCES } from './sources.ts'

/** What of an order's terms its due times follow from. */
export type DoseTerms = Pick<OrderBody, 'frequency' | 'priority' | 'startAt' | 'endAt' | 'prn' | 'medicines'>

type Awake = { readonly fromMinute: number; readonly toMinute: number }

/** How an order repeats, once its code and the department's times have been put together. */
export type Repeat =
  | { readonly kind: 'single'; readonly stat: boolean }
  | { readonly kind: 'as-needed' }
  | { readonly kind: 'continuous' }
  /** At times of day, in minutes after midnight, on every n-th day. */
  | {
      readonly kind: 'clock'
      /** Null: the time of day of the start. */
      readonly minutes: readonly number[] | null
      readonly everyDays: number
      /** Times that stand in the order itself take no extra first dose. */
      readonly from: 'order' | 'department' | 'start'
      readonly awake: Awake | null
    }
  | { readonly kind: 'interval'; readonly everyMinutes: number; readonly awake: Awake | null }

/** Why an order cannot be given due times, or what of them a person must decide, and what to do. */
export type ScheduleQuestion = {
  readonly code:
    | 'no-frequency'
    | 'frequency-contradicts-itself'
    | 'no-standard-times'
    | 'standard-times-do-not-fit'
    | 'ends-before-it-starts'
    | 'changed-terms-begin-later'
    | 'clock-change-joins-doses'
    | 'clock-change-crowds-doses'
  readonly what: string
  readonly todo: string
  /** The one dose that it is about, where it is not about the whole order. */
  readonly doseAt?: string
}

export type ReadRepeat =
  | {
      readonly ok: true
      readonly repeat: Repeat
      readonly steps: readonly string[]
      readonly sources: readonly Source[]
      readonly cautions: readonly string[]
    }
  | { readonly ok: false; readonly question: ScheduleQuestion }

/**
 * How an order repeats. In this order: as-needed is never scheduled; continuous begins once; times stated in the
 * order outrank the department's; a code with standard times falls due at them; an interval without them is
 * counted from the start. A code that means times a day (QID) takes the department's times even when the order
 * does not say so, since it has no other meaning; it is never turned into an interval (Q6H), nor the other way.
 */
export function readRepeat(order: DoseTerms, times: StandardTimes): ReadRepeat {
  const { frequency } = order
  if (order.prn !== null || (frequency && spelled(frequency.code).startsWith('PRN')))
    return answer({ kind: 'as-needed' }, ['As needed: never scheduled'], [TIMING_SOURCES.orderedGap])
  if (!frequency) return ask('no-frequency', 'The order does not say how often', ASK_PRESCRIBER)
  const contradiction = contradictionIn(frequency)
  if (contradiction) return ask('frequency-contradicts-itself', contradiction, ASK_PRESCRIBER)
  if (frequency.continuous) return answer({ kind: 'continuous' }, ['Continuous from its start'])
  if (frequency.statedTimes?.length) return stated(frequency, frequency.statedTimes)
  if (frequency.timesPerDay !== undefined) return timesADay(frequency, frequency.timesPerDay, times)
  if (frequency.everyMinutes !== undefined) return every(frequency, frequency.everyMinutes, times)
  if (frequency.once || frequency.stat)
    return answer({ kind: 'single', stat: frequency.stat === true }, [`${frequency.code}: one dose`])
  return ask('no-frequency', `${frequency.code} says neither how often nor when`, ASK_PRESCRIBER)
}

const ASK_PRESCRIBER = 'Ask the prescriber; until then nothing falls due by itself'
const SET_TIMES = "Add the code to the department's standard times, or ask for times in the order"

function contradictionIn(frequency: Frequency): string | null {
  const { code, everyMinutes, timesPerDay, statedTimes, once, continuous } = frequency
  const repeats = everyMinutes !== undefined || timesPerDay !== undefined || Boolean(statedTimes?.length)
  if (everyMinutes !== undefined && timesPerDay !== undefined)
    return `${code} is given both as every ${everyMinutes} min and as ${timesPerDay} times a day`
  const twice = statedTimes?.find((time, at) => statedTimes.indexOf(time) !== at)
  if (twice !== undefined) return `${code} states ${twice} twice`
  if (once && repeats) return `${code} is to be given once and yet repeats`
  if (continuous && (repeats || once)) return `${code} is continuous and yet has single doses`
  return null
}

function stated(frequency: Frequency, clockTimes: readonly string[]): ReadRepeat {
  const minutes = clockTimes.map(minuteOf)
  const count = frequency.timesPerDay
  const differs = count !== undefined && count !== minutes.length
  const everyDays = wholeDays(frequency.everyMinutes) ?? 1
  return answer(
    { kind: 'clock', minutes, everyDays, from: 'order', awake: null },
    [`${frequency.code}: at the times stated in the order, ${clockTimes.join(', ')}`],
    [TIMING_SOURCES.repeatPattern],
    differs ? [`${frequency.code} means ${count} a day; the order states ${minutes.length} times`] : [],
  )
}

function timesADay(frequency: Frequency, count: number, times: StandardTimes): ReadRepeat {
  const row = standardRow(frequency.code, BY_COUNT[count] ?? `${count}ID`, times)
  if (!row) return ask('no-standard-times', `No standard times are set for ${frequency.code}`, SET_TIMES)
  if (row.times.length !== count) return misfit(frequency.code, row, count)
  const cautions = [
    ...(frequency.standardTimes ? [] : [`The order does not say that standard times apply; they were used`]),
    ...(frequency.whileAwake ? asleepAt(row, times) : []),
  ]
  return atStandardTimes(row, 1, [...row.sources, TIMING_SOURCES.institutionTimes], cautions)
}

function every(frequency: Frequency, everyMinutes: number, times: StandardTimes): ReadRepeat {
  const days = wholeDays(everyMinutes)
  const usual = days === null ? `Q${everyMinutes / 60}H` : 'QD'
  const row = frequency.standardTimes ? standardRow(frequency.code, usual, times) : null
  if (row) return everyAtStandardTimes(frequency, everyMinutes, days, row, times)
  const cautions = frequency.standardTimes
    ? [`No standard times are set for ${frequency.code}; it is counted from its start`]
    : []
  if (days !== null) {
    const step = `${frequency.code}: every ${days} days at the time of day of its start`
    return answer(
      { kind: 'clock', minutes: null, everyDays: days, from: 'start', awake: null },
      [step],
      [],
      cautions,
    )
  }
  const awake = frequency.whileAwake ? awakeIn(times) : null
  return answer(
    { kind: 'interval', everyMinutes, awake },
    [
      `${frequency.code}: every ${everyMinutes} min of real time from its start${awake ? wakingWords(times) : ''}`,
    ],
    [TIMING_SOURCES.elapsed, ...(awake ? sourcesOf(times, [times.awake.source]) : [])],
    cautions,
  )
}

function everyAtStandardTimes(
  frequency: Frequency,
  everyMinutes: number,
  days: number | null,
  row: StandardRow,
  times: StandardTimes,
): ReadRepeat {
  const needed = days === null ? 1440 / everyMinutes : 1
  if (row.times.length !== needed) return misfit(frequency.code, row, needed)
  if (!frequency.whileAwake) return atStandardTimes(row, days ?? 1, row.sources, [])
  const awake = awakeIn(times)
  const kept = row.times.filter((time) => isAwake(minuteOf(time), awake))
  const sources = [...row.sources, ...sourcesOf(times, [times.awake.source])]
  if (kept.length === 0)
    return ask('standard-times-do-not-fit', `No time for ${frequency.code} lies in waking hours`, SET_TIMES)
  return atStandardTimes({ ...row, times: kept, awake, words: wakingWords(times) }, days ?? 1, sources, [])
}

function atStandardTimes(
  row: StandardRow,
  everyDays: number,
  sources: readonly Source[],
  cautions: readonly string[],
): ReadRepeat {
  const days = everyDays === 1 ? '' : `, every ${everyDays} days`
  const step = `${row.code}: at the ${row.table} times ${row.times.join(', ')}${row.words ?? ''}${days}`
  const minutes = row.times.map(minuteOf)
  return answer(
    { kind: 'clock', minutes, everyDays, from: 'department', awake: row.awake ?? null },
    [step],
    sources,
    cautions,
  )
}

type StandardRow = {
  readonly code: string
  readonly table: string
  readonly times: readonly string[]
  readonly sources: readonly Source[]
  /** Set when the times were cut down to waking hours. */
  readonly awake?: Awake
  readonly words?: string
}

const BY_COUNT: Readonly<Record<number, string>> = { 1: 'QD', 2: 'BID', 3: 'TID', 4: 'QID' }
/** Codes that name a part of the day: without a row of their own no other row may stand in for them. */
const PART_OF_DAY = /AM|PM|HS|BED|MORN|EVEN|NIGHT|NOON|MEAL|AC$|PC$/

function standardRow(code: string, usual: string, content: StandardTimes): StandardRow | null {
  const own = spelled(code)
  for (const name of PART_OF_DAY.test(own) ? [own] : [own, usual]) {
    for (const tableName of [content.inUse, ...content.thenLookIn]) {
      const table = content.tables.find((each) => each.name === tableName)
      const row = table?.rows.find((each) => spelled(each.code) === name)
      if (table && row) {
        const sources = sourcesOf(content, [table.source])
        return { code, table: table.name, times: row.times, sources }
      }
    }
  }
  return null
}

function misfit(code: string, row: StandardRow, needed: number): ReadRepeat {
  const what = `${code} needs ${needed} times a day; the ${row.table} times give ${row.times.length}`
  return ask('standard-times-do-not-fit', what, SET_TIMES)
}

function asleepAt(row: StandardRow, times: StandardTimes): string[] {
  const asleep = row.times.filter((time) => !isAwake(minuteOf(time), awakeIn(times)))
  return asleep.length === 0 ? [] : [`Ordered for waking hours, but ${asleep.join(', ')} lies outside them`]
}

function awakeIn({ awake }: StandardTimes): Awake {
  return { fromMinute: minuteOf(awake.from), toMinute: minuteOf(awake.to) }
}

/** Both ends count as awake. */
export function isAwake(minute: number, awake: Awake): boolean {
  return minute >= awake.fromMinute && minute <= awake.toMinute
}

function wakingWords({ awake }: StandardTimes): string {
  return `, waking hours ${awake.from} to ${awake.to} only`
}

function minuteOf(clockTime: string): number {
  return Number(clockTime.slice(0, 2)) * 60 + Number(clockTime.slice(3))
}

function wholeDays(everyMinutes: number | undefined): number | null {
  return everyMinutes !== undefined && everyMinutes % 1440 === 0 ? everyMinutes / 1440 : null
}

function answer(
  repeat: Repeat,
  steps: readonly string[],
  sources: readonly Source[] = [],
  cautions: readonly string[] = [],
): ReadRepeat {
  return { ok: true, repeat, steps, sources, cautions }
}

function ask(code: ScheduleQuestion['code'], what: string, todo: string): ReadRepeat {
  return { ok: false, question: { code, what, todo } }
}
