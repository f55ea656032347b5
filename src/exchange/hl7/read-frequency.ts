import type { Frequency } from '../../chart/facts/orders.ts'
import { readFrequencyCode } from '../../chart/timing/frequency-code.ts'
import { whyNotTaken } from './check-frequency.ts'
import { endOf } from './read-end.ts'
import type { FieldReader } from './reader.ts'

/** When an order is to be given, from TQ1 or from the older quantity/timing field. */
export type TimingReading = {
  readonly frequency: Frequency | null
  readonly startAt: string | null
  readonly endAt: string | null
  readonly priority: 'routine' | 'asap' | 'stat'
  readonly prn: { readonly reason: string | null; readonly minimumGapMinutes: number | null } | null
  /** What was said in words beside the schedule, for whoever gives it. */
  readonly words: readonly string[]
}

const MINUTES_IN: Readonly<Record<string, number>> = {
  min: 1,
  h: 60,
  d: 1440,
  wk: 10_080,
  H: 60,
  M: 1,
  D: 1440,
}

/** Fields of TQ1 that bear on when and how much, and that no order here can keep: an order that uses one is refused. */
const NOT_READ: readonly (readonly [field: number, what: string])[] = [
  [5, 'a time relative to a meal or event'],
  [12, 'a conjunction with another timing'],
  [13, 'how long each treatment lasts'],
]

/**
 * TQ1 (v2.5 and later): quantity in 2, repeat pattern in 3, stated times in 4, duration in 6, start 7, end 8, priority
 * 9, condition 10, words 11, count in all 14. What cannot be kept is refused (103), never left out.
 */
export function readTq1(tq1: FieldReader): TimingReading {
  for (const [field, what] of NOT_READ) {
    if (tq1.at.raw(field) !== '') tq1.wrong('103', field, `${what} is not read here`)
  }
  if (tq1.at.repeats(3).length > 1)
    tq1.wrong('103', 3, 'more than one repeat pattern is not read here; send one order for each')
  requireOne(tq1, 2, tq1.at.text(2))
  const said = {
    code: tq1.at.text(3),
    everyMinutes: period(tq1),
    standardTimes: tq1.at.text(3, 7) === 'Y',
    statedTimes: statedTimes(
      tq1,
      4,
      tq1.at.repeats(4).map((repeat) => tq1.at.part(repeat) ?? ''),
    ),
    startAt: tq1.time(7, 'the start'),
    endAt: tq1.time(8, 'the end'),
    lastsMinutes: tq1.at.raw(6) === '' ? null : duration(tq1, 6, tq1.at.text(6), tq1.at.text(6, 2)),
    count: countIn(tq1, 14, tq1.at.text(14)),
    priority: tq1.at.text(9),
    condition: tq1.at.text(10),
    words: tq1.at.text(11),
  }
  return timing(tq1, { code: 3, end: 8 }, said)
}

/** Components of the older field that no order here can keep. */
const NOT_READ_OLDER: readonly (readonly [component: number, what: string])[] = [
  [9, 'a conjunction with another timing'],
  [10, 'an order after another order'],
  [11, 'how long each treatment lasts'],
]

/** The older quantity/timing (ORC-7, RXE-1): quantity^interval&times^duration^start^end^priority^condition^words. */
export function readQuantityTiming(segment: FieldReader, field: number): TimingReading {
  for (const [component, what] of NOT_READ_OLDER) {
    if (segment.at.text(field, component) !== null) segment.wrong('103', field, `${what} is not read here`)
  }
  if (segment.at.repeats(field).length > 1)
    segment.wrong('103', field, 'more than one timing is not read here; send one order for each')
  requireOne(segment, field, segment.at.text(field))
  const stated = segment.at.text(field, 2, 2)
  const lasts = segment.at.text(field, 3)
  const [, unit = '', number = ''] = /^([SMHDWLXT])(\d+)$/.exec(lasts ?? '') ?? []
  const said = {
    code: segment.at.text(field, 2),
    everyMinutes: null,
    standardTimes: stated === null,
    statedTimes: stated === null ? [] : statedTimes(segment, field, stated.split(',')),
    startAt: componentTime(segment, field, 4),
    endAt: componentTime(segment, field, 5),
    lastsMinutes:
      lasts === null || lasts === 'INDEF' || unit === 'X'
        ? null
        : duration(segment, field, number || lasts, unit),
    count: countIn(segment, field, unit === 'X' ? number : segment.at.text(field, 12)),
    priority: segment.at.text(field, 6),
    condition: segment.at.text(field, 7),
    words: segment.at.text(field, 8),
  }
  return timing(segment, { code: field, end: field }, said)
}

type Said = {
  readonly code: string | null
  readonly everyMinutes: number | null
  readonly standardTimes: boolean
  readonly statedTimes: readonly string[]
  readonly startAt: string | null
  readonly endAt: string | null
  readonly lastsMinutes: number | null
  readonly count: number | null
  readonly priority: string | null
  readonly condition: string | null
  readonly words: string | null
}

function timing(
  segment: FieldReader,
  place: { readonly code: number; readonly end: number },
  said: Said,
): TimingReading {
  const frequency = frequencyOf(segment, place.code, said)
  const asNeeded = said.priority === 'PRN' || /PRN/i.test(said.code ?? '')
  return {
    frequency,
    startAt: said.startAt,
    endAt: theEnd(segment, place.end, said, asNeeded ? null : frequency),
    priority:
      said.priority === 'S' || frequency?.stat === true ? 'stat' : said.priority === 'A' ? 'asap' : 'routine',
    prn: asNeeded ? { reason: said.condition, minimumGapMinutes: frequency?.everyMinutes ?? null } : null,
    words: [said.words, asNeeded ? null : said.condition].filter((words) => words !== null),
  }
}

function theEnd(segment: FieldReader, field: number, said: Said, frequency: Frequency | null): string | null {
  const end = endOf(said, frequency, segment.of.timeZone)
  if ('why' in end) return segment.wrong('103', field, end.why)
  if (end.endAt !== null && said.startAt !== null && end.endAt < said.startAt) {
    return segment.wrong('102', field, `the order ends at ${end.endAt}, before it starts at ${said.startAt}`)
  }
  return end.endAt
}

/**
 * A code that is known decides; one that is not may still say its interval in the parts beside it. If neither can be
 * read the message is refused (103): a schedule is never guessed.
 */
function frequencyOf(segment: FieldReader, field: number, said: Said): Frequency | null {
  const { code, statedTimes } = said
  if (code === null && said.everyMinutes === null && statedTimes.length === 0) {
    return segment.wrong('101', field, 'how often is missing')
  }
  const known = code === null ? null : readFrequencyCode(code)
  if (!known && said.everyMinutes === null && statedTimes.length === 0) {
    return segment.wrong(
      '103',
      field,
      `frequency "${code}" is not known here, and nothing beside it says how often`,
    )
  }
  const whyNot = whyNotTaken(known, said)
  if (whyNot) return segment.wrong('103', field, whyNot)
  return {
    standardTimes: statedTimes.length === 0 && said.standardTimes,
    ...(said.everyMinutes !== null && { everyMinutes: said.everyMinutes }),
    ...known,
    code: code ?? 'stated times',
    ...(statedTimes.length > 0 && { statedTimes: [...statedTimes], standardTimes: false }),
  }
}

/** The interval beside the code (components 5 and 6 of the pattern); one that cannot be read is told, not left out. */
function period(tq1: FieldReader): number | null {
  const [count, unit] = [tq1.at.text(3, 5), tq1.at.text(3, 6)]
  if (count === null && unit === null) return null
  const minutes = inMinutes(count, unit)
  return minutes ?? tq1.wrong('103', 3, `an interval of "${count ?? ''} ${unit ?? ''}" is not read here`)
}

function inMinutes(count: string | null, unit: string | null): number | null {
  const factor = unit === null ? undefined : MINUTES_IN[unit]
  const minutes =
    factor === undefined || !/^\d+(\.\d+)?$/.test(count ?? '') ? Number.NaN : Number(count) * factor
  return Number.isInteger(minutes) && minutes > 0 ? minutes : null
}

/** How long the order goes on. The older field has its own letters: W is a week there. */
function duration(
  segment: FieldReader,
  field: number,
  count: string | null,
  unit: string | null,
): number | null {
  return (
    inMinutes(count, unit === 'W' ? 'wk' : unit) ??
    segment.wrong(
      '103',
      field,
      `a duration of "${[count, unit].filter(Boolean).join(' ')}" is not read here; state the end`,
    )
  )
}

function countIn(segment: FieldReader, field: number, text: string | null): number | null {
  if (text === null) return null
  return /^[1-9]\d{0,3}$/.test(text)
    ? Number(text)
    : segment.wrong('102', field, `how often in all is "${text}", which is no count`)
}

/** A quantity is the number of times the whole is given each time; only one is read here. */
function requireOne(segment: FieldReader, field: number, quantity: string | null): void {
  if (quantity !== null && !/^1(\.0+)?$/.test(quantity))
    segment.wrong(
      '103',
      field,
      `a quantity of ${quantity} is not read here, only 1; state the amount of each treatment`,
    )
}

function statedTimes(segment: FieldReader, field: number, texts: readonly string[]): string[] {
  return texts.flatMap((text) => {
    const time = clockTime(text)
    if (time === null) segment.wrong('102', field, `"${text}" is not a time of day`)
    return time ?? []
  })
}

function clockTime(text: string): string | null {
  const [, hour, minute] = /^([01]\d|2[0-3]):?([0-5]\d)(?:00)?$/.exec(text.trim()) ?? []
  return hour === undefined ? null : `${hour}:${minute}`
}

function componentTime(segment: FieldReader, field: number, component: number): string | null {
  const text = segment.at.text(field, component)
  if (text === null) return null
  return segment.timeIn(field, text)
}
