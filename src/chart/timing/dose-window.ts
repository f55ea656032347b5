import type { Source } from '../../clinical/worked.ts'
import { sourcesOf } from '../documents/document-kind.ts'
import type { Windows } from '../documents/windows.ts'
import type { Frequency } from '../facts/orders.ts'
import { spelled } from './frequency-code.ts'
import type { DoseTerms } from './repeat.ts'

/** `exact` doses are due at their instant; the others by the department's windows. */
export type WindowClass = 'exact' | 'time-critical' | 'more-often-than-daily' | 'daily-or-longer'
export type ExactKind = 'stat' | 'first' | 'once' | 'continuous'

/** Minutes before and after the dose, why, and from where. */
export type WindowRule = {
  readonly class: WindowClass
  readonly minutesBefore: number
  readonly minutesAfter: number
  readonly steps: readonly string[]
  readonly sources: readonly Source[]
}

/** The window of a dose that is not scheduled to the clock: none before it, a hospital's aim after it. */
export function exactWindow(kind: ExactKind, windows: Windows): WindowRule {
  const minutesAfter = windows.exact.onTimeWithinMinutes[kind]
  return {
    class: 'exact',
    minutesBefore: 0,
    minutesAfter,
    steps: [`${NAMED[kind]}: not before its time, on time within ${minutesAfter} min`],
    sources: sourcesOf(windows, [windows.exact.source]),
  }
}

const NAMED: Readonly<Record<ExactKind, string>> = {
  stat: 'Stat dose',
  first: 'First dose',
  once: 'One-time dose',
  continuous: 'Start of a continuous treatment',
}

/**
 * The window of a scheduled dose. Its class follows from the hospital's list of time-critical medicines, else from
 * how often it is given: more often than every 4 hours, more often than daily, daily or rarer. A medicine's own
 * window outranks the class; of several medicines in one cup the tightest holds on each side; and no window
 * reaches further than the set share of the interval.
 */
export function scheduledWindow(order: DoseTerms, intervalMinutes: number, windows: Windows): WindowRule {
  const medicineIds = order.medicines.flatMap(({ medicineId }) => medicineId ?? [])
  const { name, why } = classOf(intervalMinutes, medicineIds, windows)
  const byClass = windows.classes[name]
  const own = windows.medicines.filter(({ medicineId }) => medicineIds.includes(medicineId))
  const allOwn = medicineIds.length > 0 && own.length === medicineIds.length
  const rules = allOwn ? own : [byClass, ...own]
  const cap = Math.floor(intervalMinutes * windows.notBeyondShareOfInterval.share)
  const minutesBefore = Math.min(cap, ...rules.map((rule) => rule.minutesBefore))
  const minutesAfter = Math.min(cap, ...rules.map((rule) => rule.minutesAfter))
  const capped = minutesBefore === cap || minutesAfter === cap
  const keys = [byClass.source, ...own.map(({ source }) => source)]
  if (capped) keys.push(windows.notBeyondShareOfInterval.source)
  return {
    class: name,
    minutesBefore,
    minutesAfter,
    steps: [
      `${why}: class ${name}, ${byClass.minutesBefore} min before to ${byClass.minutesAfter} min after`,
      ...own.map((rule) => `${rule.medicineId} has its own window: ${rule.why}`),
      ...(capped ? [`Not beyond ${cap} min, that share of the ${intervalMinutes} min between doses`] : []),
    ],
    sources: sourcesOf(windows, keys),
  }
}

function classOf(intervalMinutes: number, medicineIds: readonly string[], windows: Windows) {
  const listed = windows.timeCriticalMedicines.find(({ medicineId }) => medicineIds.includes(medicineId))
  if (listed)
    return { name: 'time-critical', why: `${listed.medicineId} is on the list: ${listed.why}` } as const
  if (intervalMinutes < 240) return { name: 'time-critical', why: 'More often than every 4 hours' } as const
  if (intervalMinutes < 1440) return { name: 'more-often-than-daily', why: 'More often than daily' } as const
  return { name: 'daily-or-longer', why: 'Daily or rarer' } as const
}

/**
 * The interval that a frequency stands for [min], for choosing a class only: a day shared out evenly for codes
 * that count doses a day. It never makes a schedule.
 */
export function nominalIntervalMinutes(frequency: Frequency): number {
  const { everyMinutes, timesPerDay, statedTimes } = frequency
  const days = everyMinutes !== undefined && everyMinutes % 1440 === 0 ? everyMinutes / 1440 : 1
  if (statedTimes?.length) return (days * 1440) / statedTimes.length
  return everyMinutes ?? 1440 / (timesPerDay ?? 1)
}

/** The least time between two doses of an order, where it is known, why, and from where. */
export type MinimumGap = {
  readonly minutes: number | null
  readonly steps: readonly string[]
  readonly sources: readonly Source[]
}

/**
 * The least real time between two doses of a scheduled order [min]: as the department set it for the code, else
 * the shortest gap of its schedule less one window, which is cut to the department's share of that very gap.
 */
export function scheduledGap(
  code: string,
  shortestGapMinutes: number,
  minutesBefore: number,
  windows: Windows,
): MinimumGap {
  const set = windows.minimumGaps.find((gap) => spelled(gap.code) === spelled(code))
  if (set) {
    const steps = [`${code}: at least ${set.minutes} min apart, as set by the department`]
    return { minutes: set.minutes, steps, sources: sourcesOf(windows, [set.source]) }
  }
  // A window as long as the gap itself, of times stated close together, would leave nothing to be too soon for.
  const { share, source } = windows.notBeyondShareOfInterval
  const atMost = Math.floor(shortestGapMinutes * share)
  const isCapped = minutesBefore > atMost
  const window = isCapped ? atMost : minutesBefore
  const minutes = shortestGapMinutes - window
  const why = isCapped
    ? `a window of ${minutesBefore} min, cut to ${share} of that gap, ${window} min`
    : `a window of ${window} min`
  return {
    minutes,
    steps: [`${code}: ${shortestGapMinutes} min less ${why} = ${minutes} min apart`],
    sources: sourcesOf(windows, [windows.otherGaps.source, ...(isCapped ? [source] : [])]),
  }
}
