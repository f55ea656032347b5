import type { Chart } from './chart.ts'
import { isUnsettled } from './message.ts'
import { type OrderState, openFindings, orderStatusAt, termsAt } from './order.ts'
import { outgoingItems } from './outgoing-items.ts'
import { questions } from './questions.ts'
import type { SettleItem } from './settle-item.ts'

export type { SettleItem } from './settle-item.ts'

/**
 * Everything open: messages that could not be used whole or told, findings unanswered, questions between facts. `orders`:
 * those whose findings and questions are asked about; what hangs on no single order comes whatever they are.
 */
export function settleItems(
  chart: Chart,
  now: string,
  orders: readonly OrderState[] = chart.orders(),
): SettleItem[] {
  const settled = settledItems(chart)
  return [
    ...messageItems(chart),
    ...outgoingItems(chart, now),
    ...findingItems(orders, now),
    ...questionItems(chart, orders),
  ]
    .filter((item) => !settled.has(item.id))
    .sort((a, b) =>
      a.severity === b.severity ? (a.since < b.since ? -1 : 1) : a.severity === 'stop' ? -1 : 1,
    )
}

function settledItems(chart: Chart): ReadonlySet<string> {
  const settled = new Set<string>()
  for (const fact of chart.facts()) if (fact.kind === 'item-settled') settled.add(fact.body.item)
  return settled
}

function messageItems(chart: Chart): SettleItem[] {
  return chart
    .messages()
    .filter(isUnsettled)
    .map((message) => ({
      id: `message:${message.messageId}`,
      kind: 'message',
      title: `${message.type ?? 'A message that names no type'}${message.sender ? ` from ${message.sender}` : ''}`,
      what: message.problems.map(({ where, what }) => (where ? `${where}: ${what}` : what)).join('; '),
      why: message.answer
        ? `Answered ${message.answer.code}. The message is kept whole; nothing was guessed.`
        : 'It could not be answered. What came is kept whole.',
      sources: [],
      owes: 'sender',
      since: message.at,
      patientId: null,
      orderId: null,
      severity: 'ask',
      raw: message.raw,
    }))
}

function findingItems(orders: readonly OrderState[], now: string): SettleItem[] {
  return orders
    .filter((order) => ['active', 'not begun', 'on hold'].includes(orderStatusAt(order, now)))
    .flatMap((order) => openFindings(order).map((finding) => findingItem(order, finding, now)))
}

function findingItem(
  order: OrderState,
  finding: ReturnType<typeof openFindings>[number],
  now: string,
): SettleItem {
  return {
    id: `finding:${order.orderId}:${finding.code}`,
    kind: 'finding',
    title: termsAt(order, now).title,
    what: finding.what,
    why: finding.why,
    sources: finding.sources,
    owes: finding.whoMustAnswer,
    since: order.terms.at(-1)?.from ?? order.placedAt,
    patientId: order.patientId,
    orderId: order.orderId,
    severity: finding.severity === 'stop' ? 'stop' : 'ask',
  }
}

function questionItems(chart: Chart, orders: readonly OrderState[]): SettleItem[] {
  return questions(chart, orders).map((question) => ({
    id: question.id,
    kind: 'question',
    title: question.title,
    what: question.what,
    why: 'All that was written is kept. Nothing was chosen over the other.',
    sources: [],
    owes: 'therapist',
    since: question.since,
    patientId: question.patientId,
    orderId: question.orderId,
    severity: 'stop',
    sides: question.sides,
    visitIds: question.visitIds,
  }))
}
