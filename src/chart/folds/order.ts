import type { OrderBody } from '../facts/orders.ts'
import type { AnyFact, BodyOf } from '../registry.ts'
import { standing } from './standing.ts'

export type OrderFinding = BodyOf<'order-reviewed'>['findings'][number]
export type FindingAnswer = BodyOf<'finding-answered'> & {
  readonly at: string
  readonly by: { readonly personId: string; readonly role: string }
}

/** The terms of an order from an instant on. */
export type OrderTerms = { readonly from: string; readonly order: OrderBody; readonly factId: string }

export type OrderState = {
  readonly orderId: string
  readonly patientId: string
  readonly placedAt: string
  readonly channel: string
  /** In order of time; the last one is in force now. */
  readonly terms: readonly OrderTerms[]
  /** Times during which the order was on hold; `to` null while it still is. */
  readonly holds: readonly {
    readonly from: string
    readonly to: string | null
    readonly reason: string | null
  }[]
  readonly discontinued: { readonly at: string; readonly reason: string | null } | null
  readonly findings: readonly OrderFinding[]
  readonly answers: readonly FindingAnswer[]
}

/**
 * Facts about one order to the order as it stands; null while the order itself has not arrived (a change or an
 * answer may come first from another device).
 */
export function foldOrder(orderId: string, facts: Iterable<AnyFact>): OrderState | null {
  const all = standing(facts)
  const placed = all.find((fact) => fact.kind === 'order-placed')
  if (!placed) return null
  let state: OrderState = {
    orderId,
    patientId: placed.about.patientId ?? '',
    placedAt: placed.happenedAt,
    channel: placed.body.channel,
    terms: [
      { from: placed.body.order.startAt ?? placed.happenedAt, order: placed.body.order, factId: placed.id },
    ],
    holds: [],
    discontinued: null,
    findings: [],
    answers: [],
  }
  for (const fact of all) state = step(state, fact)
  return state
}

function step(state: OrderState, fact: AnyFact): OrderState {
  switch (fact.kind) {
    case 'order-changed': {
      const terms = { from: fact.body.effectiveAt, order: fact.body.order, factId: fact.id }
      return { ...state, terms: [...state.terms, terms] }
    }
    case 'order-held': {
      const hold = { from: fact.body.effectiveAt, to: null, reason: fact.body.reason }
      return state.holds.at(-1)?.to === null ? state : { ...state, holds: [...state.holds, hold] }
    }
    case 'order-released': {
      const last = state.holds.at(-1)
      if (!last || last.to !== null) return state
      return { ...state, holds: [...state.holds.slice(0, -1), { ...last, to: fact.body.effectiveAt }] }
    }
    case 'order-discontinued':
      return { ...state, discontinued: { at: fact.body.effectiveAt, reason: fact.body.reason } }
    case 'order-reviewed':
      return { ...state, findings: fact.body.findings }
    case 'finding-answered':
      return { ...state, answers: [...state.answers, { ...fact.body, at: fact.happenedAt, by: fact.by }] }
    default:
      return state
  }
}

/** The terms in force at an instant: the last that began by then, or the first of all before any began. */
export function termsAt(order: OrderState, at: string): OrderBody {
  const begun = order.terms.filter((terms) => terms.from <= at).at(-1) ?? order.terms[0]
  if (!begun) throw new Error(`order ${order.orderId} has no terms`)
  return begun.order
}

export type OrderStatus = 'not begun' | 'active' | 'on hold' | 'discontinued' | 'ended'

/** What an order is at an instant. Discontinued outranks all; an order on hold is not active. */
export function orderStatusAt(order: OrderState, at: string): OrderStatus {
  if (order.discontinued && order.discontinued.at <= at) return 'discontinued'
  const terms = termsAt(order, at)
  if (terms.endAt !== null && terms.endAt <= at) return 'ended'
  if (order.holds.some((hold) => hold.from <= at && (hold.to === null || hold.to > at))) return 'on hold'
  return (order.terms[0]?.from ?? at) > at ? 'not begun' : 'active'
}

/** Findings that nobody has answered and that must be: a stop or an ask. */
export function openFindings(order: OrderState): OrderFinding[] {
  const answered = new Set(order.answers.map((answer) => answer.code))
  return order.findings.filter(
    (finding) => (finding.severity === 'stop' || finding.severity === 'ask') && !answered.has(finding.code),
  )
}
