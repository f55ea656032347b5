import type { DoseTerms } from './repeat.ts'

/** The life of one order, as the fold over its facts gives it. */
export type OrderLife = {
  readonly orderId: string
  /** In order of their facts: of two that have begun, the later listed is in force. */
  readonly terms: readonly { readonly from: string; readonly order: DoseTerms }[]
  readonly holds: readonly { readonly from: string; readonly to: string | null }[]
  readonly discontinued: { readonly at: string } | null
}

/** A stretch of time under one set of terms. Doses fall in [fromMs, toMs). */
export type Span = {
  readonly order: DoseTerms
  readonly fromMs: number
  readonly toMs: number
  /** From where the schedule is counted; before `fromMs` when changed terms go on with the old schedule. */
  readonly anchorMs: number
  /** True until a dose could have fallen due under earlier terms. */
  readonly opens: boolean
  /** True when these terms repeat as the ones before did and go on with their schedule. */
  readonly goesOn: boolean
  /** When the terms took effect; nothing is due between this and `fromMs`. */
  readonly effectiveMs: number
}

/**
 * The stretches during which an order's terms were, or will be, in force. Ends are exclusive: at the very instant
 * of an end, a discontinuation or a discharge nothing is due any more. Changed terms that repeat as before go on
 * with the schedule that was running; others are counted from their own start.
 */
export function orderSpans(life: OrderLife, dischargedAt: string | null): Span[] {
  const spans: Span[] = []
  let opens = true
  let anchorMs = Number.NaN
  for (const [at, { from, order }] of life.terms.entries()) {
    const before = life.terms[at - 1]?.order
    const goesOn = before !== undefined && repeatsAlike(order, before)
    anchorMs = order.startAt !== null ? ms(order.startAt) : goesOn ? anchorMs : ms(from)
    const fromMs = Math.max(ms(from), order.startAt === null ? -Infinity : ms(order.startAt))
    const toMs = Math.min(
      ...life.terms.slice(at + 1).map((later) => ms(later.from)),
      endOf(order),
      life.discontinued === null ? Infinity : ms(life.discontinued.at),
      dischargedAt === null ? Infinity : ms(dischargedAt),
    )
    spans.push({ order, fromMs, toMs, anchorMs, opens, goesOn, effectiveMs: ms(from) })
    opens = opens && !(fromMs < toMs)
  }
  return spans
}

/** Some senders give an order for one dose an end at its very start: that dose is meant, not none. */
function endOf({ startAt, endAt, frequency }: DoseTerms): number {
  if (endAt === null) return Infinity
  const forOneDose = frequency?.once === true || frequency?.stat === true
  return ms(endAt) + (forOneDose && endAt === startAt ? 1 : 0)
}

function repeatsAlike(a: DoseTerms, b: DoseTerms): boolean {
  return JSON.stringify([a.frequency, a.prn !== null]) === JSON.stringify([b.frequency, b.prn !== null])
}

/** The end of the hold over an instant; null while it lasts, undefined when there is none. */
export type HeldUntil = (atMs: number) => number | null | undefined

/** Reads an order's holds once, for asking often. Holds that meet or overlap count as one. */
export function holdsOf({ holds }: Pick<OrderLife, 'holds'>): HeldUntil {
  if (holds.length === 0) return () => undefined
  const inOrder = holds
    .map(({ from, to }) => ({ fromMs: ms(from), toMs: to === null ? Infinity : ms(to) }))
    .sort((a, b) => a.fromMs - b.fromMs)
  return (atMs) => {
    let untilMs = atMs
    for (const { fromMs, toMs } of inOrder) if (fromMs <= untilMs && untilMs < toMs) untilMs = toMs
    if (untilMs === atMs) return undefined
    return untilMs === Infinity ? null : untilMs
  }
}

function ms(instant: string): number {
  return Date.parse(instant)
}
