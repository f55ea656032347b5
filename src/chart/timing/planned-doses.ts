import type { StandardTimes } from '../documents/standard-times.ts'
import { type Occurrence, occurrences, reachMs, shortestGapMinutes } from './occurrences.ts'
import type { HeldUntil, Span } from './order-spans.ts'
import { isAwake, type Repeat } from './repeat.ts'
import type { Zone } from './zone.ts'

const MINUTE_MS = 60_000

export type DoseKind = 'scheduled' | 'first' | 'stat' | 'once' | 'continuous'

/** An instant at which something is to be given, before anybody asks how early or late it may be. */
export type Planned = Occurrence & { readonly kind: DoseKind; readonly note: string | null }

/** What is needed to set an order's doses on the line of time. */
export type Setting = {
  readonly times: StandardTimes
  readonly zone: Zone
  readonly fromMs: number
  readonly toMs: number
}

/**
 * The doses of one stretch of an order, those in [fromMs, toMs) and their nearest neighbors on both sides.
 */
export function plannedDoses(span: Span, repeat: Repeat, setting: Setting, heldUntil: HeldUntil): Planned[] {
  switch (repeat.kind) {
    case 'as-needed':
      return []
    case 'single':
      return oneDose(span, repeat.stat || span.order.priority === 'stat' ? 'stat' : 'once', heldUntil)
    case 'continuous':
      return oneDose(span, 'continuous', heldUntil)
    default:
      return repeatedDoses(span, repeat, setting, heldUntil)
  }
}

/** One dose at the start; when a hold lies over it, at the end of the hold. */
function oneDose(span: Span, kind: DoseKind, heldUntil: HeldUntil): Planned[] {
  const dueMs = span.goesOn ? span.anchorMs : Math.max(span.anchorMs, span.fromMs)
  const released = heldUntil(dueMs)
  if (released === null) return []
  const ms = released ?? dueMs
  if (dueMs < span.fromMs || ms >= span.toMs) return []
  const note = released === undefined ? null : 'On hold at its time; due when the hold ended'
  return [{ ...plain(ms), kind, note }]
}

type Repeating = Extract<Repeat, { kind: 'clock' | 'interval' }>

function repeatedDoses(span: Span, repeat: Repeating, setting: Setting, heldUntil: HeldUntil): Planned[] {
  const reach = reachMs(repeat)
  const fromMs = Math.max(span.fromMs, setting.fromMs - reach)
  const toMs = Math.min(span.toMs, setting.toMs + reach)
  const opening = openingDose(span, repeat, setting, heldUntil)
  const doses: Planned[] = opening && opening.ms >= fromMs && opening.ms < toMs ? [opening] : []
  for (const { ms, how, shiftedMinutes, movedHere } of occurrences(
    repeat,
    span.anchorMs,
    fromMs,
    toMs,
    setting.zone,
  )) {
    const isJoined = !opening || ms >= opening.joinsMs
    if (isJoined && heldUntil(ms) === undefined)
      doses.push({ ms, how, shiftedMinutes, movedHere, kind: 'scheduled', note: null })
  }
  return doses
}

/**
 * The dose with which an order begins when that is not simply the first of its schedule, and from when the schedule
 * is joined: not before half the shortest gap has passed.
 */
function openingDose(
  span: Span,
  repeat: Repeating,
  setting: Setting,
  heldUntil: HeldUntil,
): (Planned & { readonly joinsMs: number }) | null {
  const ms = Math.max(span.anchorMs, span.fromMs)
  const urgent = span.order.priority !== 'routine' || span.order.frequency?.stat === true
  const fromStart = repeat.kind === 'clock' && repeat.from === 'start'
  const begins = span.opens || (!span.goesOn && (urgent || fromStart))
  if (!begins || heldUntil(ms) !== undefined) return null
  const halfMs = (shortestGapMinutes(repeat) / 2) * MINUTE_MS
  if (!urgent && !opensAtOnce(span, repeat, ms, halfMs, setting)) return null
  const stat = span.order.priority === 'stat' || span.order.frequency?.stat === true
  const passedOver = occurrences(repeat, span.anchorMs, ms + 1, ms + halfMs, setting.zone).length > 0
  const note = passedOver
    ? `First dose at the start; the next time is passed over, being less than ${halfMs / MINUTE_MS} min away`
    : 'First dose at the start'
  return { ...plain(ms), kind: stat ? 'stat' : 'first', note, joinsMs: Math.max(ms + 1, ms + halfMs) }
}

function opensAtOnce(
  span: Span,
  repeat: Repeating,
  ms: number,
  halfMs: number,
  { times, zone }: Setting,
): boolean {
  if (repeat.awake && !isAwake(zone.wallAt(ms).minute, repeat.awake)) return false
  if (repeat.kind === 'interval' || repeat.from === 'start') return true
  if (repeat.from === 'order' || times.firstDose.rule === 'next-standard-time') return false
  const isOnTime = occurrences(repeat, span.anchorMs, ms, ms + 1, zone).length > 0
  if (isOnTime) return false
  if (times.firstDose.rule === 'now-then-half-interval') return true
  return occurrences(repeat, span.anchorMs, ms, ms + halfMs, zone).length === 0
}

function plain(ms: number): Occurrence {
  return { ms, how: 'plain', shiftedMinutes: 0, movedHere: [] }
}
