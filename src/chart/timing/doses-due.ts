import type { Working } from '../../clinical/calculation.ts'
import { BadInput, requireWithin } from '../../clinical/worked.ts'
import type { StandardTimes } from '../documents/standard-times.ts'
import type { Windows } from '../documents/windows.ts'
import { Instant } from '../fact.ts'
import { clockQuestions } from './clock-questions.ts'
import {
  exactWindow,
  type MinimumGap,
  nominalIntervalMinutes,
  scheduledGap,
  scheduledWindow,
  type WindowClass,
} from './dose-window.ts'
import { type DoseGrounds, doseGrounds, doseWorking } from './dose-working.ts'
import { instant } from './instant-text.ts'
import { shortestGapMinutes } from './occurrences.ts'
import { type HeldUntil, holdsOf, type OrderLife, orderSpans, type Span } from './order-spans.ts'
import { type DoseKind, type Planned, plannedDoses, type Setting } from './planned-doses.ts'
import { type ReadRepeat, readRepeat, type ScheduleQuestion } from './repeat.ts'
import { DAY_MS, zoneOf } from './zone.ts'

const MINUTE_MS = 60_000

/** The department's documents that due times follow from, and the zone of its clocks. */
export type TimingRules = {
  readonly standardTimes: StandardTimes
  readonly windows: Windows
  readonly timeZone: string
}

/** One dose that falls due. All instants are UTC. */
export type DueDose = {
  /** The same for the same dose on every device and every time it is computed. */
  readonly key: string
  readonly orderId: string
  readonly doseAt: string
  readonly kind: DoseKind
  readonly class: WindowClass
  readonly window: {
    readonly earliest: string
    readonly onTimeUntil: string
    /** After this the next dose would come too soon; null when none follows or there is room. */
    readonly latest: string | null
  }
  /** Real minutes since the dose before it in the schedule; null when none lies within an interval and a day. */
  readonly minutesSinceDoseBefore: number | null
  readonly minimumGapMinutes: number | null
  /** What a change of clock leaves a person to decide about this dose. */
  readonly questions: readonly ScheduleQuestion[]
  readonly working: Working
}

export type DueDoses = {
  readonly doses: readonly DueDose[]
  /** Why the order, or part of its life, has no due times, and what a change of clock leaves a person to decide. */
  readonly questions: readonly (ScheduleQuestion & { readonly orderId: string })[]
}

/** The name of one dose of one order. */
export function doseKey(orderId: string, doseAt: string): string {
  return `${orderId}@${doseAt}`
}

/**
 * The doses of one order that fall due from `from` up to, not including, `to`, in order of time.
 *
 * - Terms change, holds begin and end, and orders stop at an instant; at the very instant of an end nothing is due.
 * - Scheduled doses inside a hold are not due and are not made up for. An order for one dose that falls into a
 *   hold is due when the hold ends: it would otherwise never be given.
 * - As-needed orders never fall due by themselves; `prnAvailableAt` says when they may be given.
 * - Nights on which the clock is changed: times of day follow the clock on the wall (see `zoneOf` for the skipped
 *   and the repeated hour), so the gap across such a night is an hour shorter or longer and the dose says so;
 *   intervals counted from a start follow real time. A skipped time that lands on another dose is one dose with
 *   it, and a question: nothing is dropped in silence and nothing given twice at once.
 * @throws BadInput for instants or a zone that cannot be read, and when `to` lies before `from`
 * @throws OutsideValidity when more than 400 days are asked for
 */
export function dosesDue(
  life: OrderLife,
  rules: TimingRules,
  from: string,
  to: string,
  more: { readonly dischargedAt?: string | null } = {},
): DueDoses {
  return dosesOf(life, more.dischargedAt ?? null, rules.windows, settingFor(rules, from, to))
}

/**
 * The doses of many orders, in order of time and then of order id.
 * @throws as `dosesDue`
 */
export function allDosesDue(
  lives: Iterable<OrderLife & { readonly dischargedAt?: string | null }>,
  rules: TimingRules,
  from: string,
  to: string,
): DueDoses {
  const setting = settingFor(rules, from, to)
  const each = [...lives].map((life) => dosesOf(life, life.dischargedAt ?? null, rules.windows, setting))
  const doses = each.flatMap((due) => due.doses)
  const byTime = (a: DueDose, b: DueDose) => compare(a.doseAt, b.doseAt) || compare(a.orderId, b.orderId)
  return { doses: doses.sort(byTime), questions: each.flatMap((due) => due.questions) }
}

function settingFor(rules: TimingRules, from: string, to: string): Setting {
  const [fromMs, toMs] = asked(from, to)
  return { times: rules.standardTimes, zone: zoneOf(rules.timeZone), fromMs, toMs }
}

function dosesOf(life: OrderLife, dischargedAt: string | null, windows: Windows, setting: Setting): DueDoses {
  const { fromMs, toMs } = setting
  const heldUntil = holdsOf(life)
  const questions: ScheduleQuestion[] = []
  const timed: Timed[] = []
  for (const [at, span] of orderSpans(life, dischargedAt).entries()) {
    if (at > 0) questions.push(...silenceQuestions(span))
    const read = readRepeat(span.order, setting.times)
    questions.push(...endQuestions(span))
    if (read.ok) timed.push(...timedIn(span, read, windows, setting, heldUntil))
    else if (span.fromMs < Math.min(span.toMs, toMs)) questions.push(read.question)
  }
  timed.sort((a, b) => a.planned.ms - b.planned.ms)
  const doses: DueDose[] = []
  for (const [at, each] of timed.entries()) {
    if (each.planned.ms < fromMs || each.planned.ms >= toMs) continue
    const before = timed[at - 1]
    const dose = dueDose(life.orderId, each, before, timed[at + 1], setting)
    doses.push(dose)
    questions.push(...dose.questions)
  }
  return { doses, questions: questions.map((question) => ({ ...question, orderId: life.orderId })) }
}

type Read = Extract<ReadRepeat, { ok: true }>
type Timed = {
  readonly planned: Planned
  readonly grounds: DoseGrounds
  /** The shortest gap between its times of day; null for doses that are not set by the clock. */
  readonly clockGapMinutes: number | null
}

const NO_GAP: MinimumGap = { minutes: null, steps: [], sources: [] }

function timedIn(span: Span, read: Read, windows: Windows, setting: Setting, heldUntil: HeldUntil): Timed[] {
  const { repeat } = read
  const { frequency } = span.order
  const repeats = repeat.kind === 'clock' || repeat.kind === 'interval'
  const interval = frequency && repeats ? nominalIntervalMinutes(frequency) : DAY_MS / MINUTE_MS
  const scheduled = scheduledWindow(span.order, interval, windows)
  const shortest = repeats ? shortestGapMinutes(repeat) : null
  const gap =
    frequency && shortest !== null
      ? scheduledGap(frequency.code, shortest, scheduled.minutesBefore, windows)
      : NO_GAP
  const usual = doseGrounds(read, scheduled, gap)
  const clockGapMinutes = repeat.kind === 'clock' ? shortest : null
  return plannedDoses(span, repeat, setting, heldUntil).map((planned) => ({
    planned,
    clockGapMinutes,
    grounds:
      planned.kind === 'scheduled' ? usual : doseGrounds(read, exactWindow(planned.kind, windows), gap),
  }))
}

function dueDose(
  orderId: string,
  { planned, grounds, clockGapMinutes }: Timed,
  before: Timed | undefined,
  next: Timed | undefined,
  { zone }: Setting,
): DueDose {
  const { window, gap } = grounds
  const doseAt = instant(planned.ms)
  const untilMs = planned.ms + window.minutesAfter * MINUTE_MS
  const latestMs = next && gap.minutes !== null ? next.planned.ms - gap.minutes * MINUTE_MS : null
  const beforeMs = before?.planned.ms ?? null
  return {
    key: doseKey(orderId, doseAt),
    orderId,
    doseAt,
    kind: planned.kind,
    class: window.class,
    window: {
      earliest: instant(planned.ms - window.minutesBefore * MINUTE_MS),
      onTimeUntil: instant(untilMs),
      latest: latestMs !== null && latestMs > untilMs ? instant(latestMs) : null,
    },
    minutesSinceDoseBefore: beforeMs === null ? null : (planned.ms - beforeMs) / MINUTE_MS,
    minimumGapMinutes: gap.minutes,
    questions: clockQuestions(
      planned,
      { before: before?.planned, next: next?.planned },
      clockGapMinutes,
      zone,
    ),
    working: doseWorking(planned, beforeMs, grounds, zone),
  }
}

function endQuestions({ order: { startAt, endAt } }: Span): ScheduleQuestion[] {
  if (startAt === null || endAt === null || endAt >= startAt) return []
  const what = `The order ends at ${endAt}, before it starts at ${startAt}`
  return [{ code: 'ends-before-it-starts', what, todo: 'Have it put right by whoever sent it' }]
}

function silenceQuestions({ goesOn, effectiveMs, fromMs, toMs }: Span): ScheduleQuestion[] {
  if (goesOn || effectiveMs >= fromMs || fromMs >= toMs) return []
  const what = `Changed at ${instant(effectiveMs)}, to start at ${instant(fromMs)}: nothing is due in between`
  return [{ code: 'changed-terms-begin-later', what, todo: 'Ask whether the old times hold until then' }]
}

function asked(from: string, to: string): [number, number] {
  for (const [field, given] of Object.entries({ from, to })) {
    if (!Instant.safeParse(given).success)
      throw new BadInput(field, given, 'an instant in UTC, for example 2026-03-10T12:00:00.000Z')
  }
  const [fromMs, toMs] = [Date.parse(from), Date.parse(to)]
  if (toMs < fromMs) throw new BadInput('to', to, `not before ${from}`)
  requireWithin('days asked for', (toMs - fromMs) / DAY_MS, { low: 0, high: 400, unit: 'd' })
  return [fromMs, toMs]
}

function compare(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0
}
