import type { MessageAnswers } from '../api/schemas.ts'
import type { OrderBody } from '../chart/facts/orders.ts'
import type { Chart } from '../chart/folds/chart.ts'
import type { AnyFact } from '../chart/registry.ts'

/** What a message became: the facts to store, and what is answered. The order of facts is the order of storing. */
export type Received = {
  readonly facts: readonly AnyFact[]
  readonly answer: MessageAnswers['answers'][number]
}

/**
 * Turns what comes from outside into facts. Pure but for the ids and the clock inside: the chart says what is known
 * already, so that a message that comes again is answered as before.
 */
export type MessageDoor = {
  readonly receive: (channel: 'hl7v2' | 'csv', text: string, chart: Chart) => readonly Received[]
  readonly enterByHand: (patientId: string, order: OrderBody, by: AnyFact['by'], chart: Chart) => Received
}
