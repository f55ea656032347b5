import type { Frequency } from '../../chart/facts/orders.ts'
import { readFrequencyCode } from '../../chart/timing/frequency-code.ts'
import type { FieldReader } from './reader.ts'

/** When an order is to be given, from TQ1 or from the older quantity/timing field. */
export type TimingReading = {
  readonly frequency: Frequency | null
  readonly startAt: string | null
  readonly endAt: string | null
  readonly priority: 'routine' | 'asap' | 'stat'
  readonly prn: { readonly reason: string | null; readonly minimumGapMinutes: number | null } | null
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

/** TQ1 (v2.5 and later): repeat pattern in 3, stated times in 4, start 7, end 8, priority 9, condition 10. */
export function readTq1(tq1: FieldReader): TimingReading {
  const code = tq1.at.text(3)
  const every = everyMinutes(Number(tq1.at.text(3, 5) ?? Number.NaN), tq1.at.text(3, 6))
  return timing(tq1, 3, {
    code,
    everyMinutes: every,
    standardTimes: tq1.at.text(3, 7) === 'Y',
    statedTimes: statedTimes(tq1, 4),
    startAt: tq1.time(7, 'the start'),
    endAt: tq1.time(8, 'the end'),
    priority: tq1.at.text(9),
    condition: tq1.at.text(10),
  })
}

/** The older quantity/timing (ORC-7, RXE-1): quantity^interval&times^duration^start^end^priority^condition. */
export function readQuantityTiming(segment: FieldReader, field: number): TimingReading {
  const stated = segment.at.text(field, 2, 2)
  return timing(segment, field, {
    code: segment.at.text(field, 2),
    everyMinutes: null,
    standardTimes: stated === null,
    statedTimes: stated === null ? [] : stated.split(',').flatMap((text) => clockTime(text) ?? []),
    startAt: componentTime(segment, field, 4),
    endAt: componentTime(segment, field, 5),
    priority: segment.at.text(field, 6),
    condition: segment.at.text(field, 7),
  })
}

type Said = {
  readonly code: string | null
  readonly everyMinutes: number | null
  readonly standardTimes: boolean
  readonly statedTimes: readonly string[]
  readonly startAt: string | null
  readonly endAt: string | null
  readonly priority: string | null
  readonly condition: string | null
}

function timing(segment: FieldReader, field: number, said: Said): TimingReading {
  const frequency = frequencyOf(segment, field, said)
  const asNeeded = said.priority === 'PRN' || /PRN/i.test(said.code ?? '')
  return {
    frequency,
    startAt: said.startAt,
    endAt: said.endAt,
    priority:
      said.priority === 'S' || frequency?.stat === true ? 'stat' : said.priority === 'A' ? 'asap' : 'routine',
    prn: asNeeded ? { reason: said.condition, minimumGapMinutes: frequency?.everyMinutes ?? null } : null,
  }
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
  return {
    standardTimes: statedTimes.length === 0 && said.standardTimes,
    ...(said.everyMinutes !== null && { everyMinutes: said.everyMinutes }),
    ...known,
    code: code ?? 'stated times',
    ...(statedTimes.length > 0 && { statedTimes: [...statedTimes], standardTimes: false }),
  }
}

function everyMinutes(count: number, unit: string | null): number | null {
  const factor = unit === null ? undefined : MINUTES_IN[unit]
  const minutes = factor === undefined ? Number.NaN : count * factor
  return Number.isInteger(minutes) && minutes > 0 ? minutes : null
}

function statedTimes(segment: FieldReader, field: number): string[] {
  return segment.at.repeats(field).flatMap((repeat) => {
    const text = segment.at.part(repeat) ?? ''
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
