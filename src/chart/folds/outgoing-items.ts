import type { Chart } from './chart.ts'
import { isGivenUp, type OutgoingState } from './outgoing.ts'
import type { SettleItem } from './settle-item.ts'

/** A system that takes nothing for so long is told to people [min]. Design rule. */
const SILENT_MINUTES = 30

/** Messages of ours that were given up, and systems that have taken nothing for a while. */
export function outgoingItems(chart: Chart, now: string): SettleItem[] {
  const messages = chart.outgoings()
  return [...givenUp(chart, messages), ...silent(messages, now)]
}

/** Of the messages about one treatment, only the newest can still need somebody. */
function givenUp(chart: Chart, messages: readonly OutgoingState[]): SettleItem[] {
  const newest = new Map<string, OutgoingState>()
  for (const message of messages) {
    const key = `${message.destination} ${message.type} ${message.subject}`
    const before = newest.get(key)
    if (!before || before.number < message.number) newest.set(key, message)
  }
  return [...newest.values()].filter(isGivenUp).map((message) => ({
    id: `outgoing:${message.messageId}`,
    kind: 'outgoing',
    title: `${message.type} to ${message.destination}`,
    what: `${message.destination} was not told: ${message.why}`,
    why: 'What was charted stands. That system does not know of it.',
    sources: [],
    owes: 'receiver',
    since: message.at,
    patientId: message.patientId,
    orderId: chart.order(message.orderId) ? message.orderId : null,
    severity: 'ask',
    messageId: message.messageId,
    ...(message.text !== null && { raw: message.text }),
  }))
}

function silent(messages: readonly OutgoingState[], now: string): SettleItem[] {
  const waiting = messages.filter(({ state }) => state === 'waiting')
  const destinations = [...new Set(waiting.map(({ destination }) => destination))].sort()
  return destinations.flatMap((destination) => {
    const theirs = waiting.filter((message) => message.destination === destination)
    const oldest = theirs.reduce((first, each) => (each.number < first.number ? each : first))
    const isLong = Date.parse(now) - Date.parse(oldest.at) >= SILENT_MINUTES * 60_000
    return isLong ? [silentItem(destination, theirs.length, oldest)] : []
  })
}

function silentItem(destination: string, count: number, oldest: OutgoingState): SettleItem {
  return {
    id: `waiting:${oldest.messageId}`,
    kind: 'question',
    title: `The line to ${destination}`,
    what: `${destination} has not taken ${count} message${count === 1 ? '' : 's'}.`,
    why: 'They are kept and sent again by themselves until they are taken. Somebody should look at that line.',
    sources: [],
    owes: 'receiver',
    since: oldest.at,
    patientId: null,
    orderId: null,
    severity: 'ask',
  }
}
