import { siteTimeZone } from '../../chart/documents/site-time-zone.ts'
import type { Chart } from '../../chart/folds/chart.ts'
import { idOfNumber } from '../../chart/ids.ts'
import { type AnyFact, type Writer, writeFact } from '../../chart/registry.ts'
import { type DueMessage, dueMessage } from '../../exchange/hl7/due-message.ts'
import type { Envelope } from '../../exchange/hl7/write-segments.ts'
import type { Destination, Feeds } from '../mllp/feed-settings.ts'

/** Who speaks to a destination in the ledger: one writes what is to be told, another what became of it. */
export const composerOf = (destination: string) => `tells ${destination}`
export const senderOf = (destination: string) => `sends to ${destination}`

export type Speaker = Pick<Writer, 'facility' | 'newId' | 'nowMs'>

/** Writes facts in the name of one side of a feed. */
export function feedWriter(speaker: Speaker, personId: string): Writer {
  return { ...speaker, by: { personId, role: 'system' }, device: 'server' }
}

/**
 * The messages that a destination has yet to be told of some treatments, as facts, numbered on from `lastNumber`.
 * Control ids are made from ids, so they are unique however often a database is restored.
 */
export function composeFacts(
  chart: Chart,
  subjects: Iterable<string>,
  { name, messages, receiver }: Destination,
  { us, processingId }: Pick<Feeds, 'us' | 'processingId'>,
  speaker: Speaker,
  lastNumber: number,
): AnyFact[] {
  const at = new Date(speaker.nowMs()).toISOString()
  const from = { ...us, facility: us.facility || speaker.facility.toUpperCase() }
  const writer = feedWriter(speaker, composerOf(name))
  const timeZone = siteTimeZone(chart, at)
  let number = lastNumber
  const asked = [...subjects].flatMap((subject) => messages.map((type) => ({ subject, type })))
  return asked.flatMap(({ subject, type }) => {
    const controlId = controlIdOf(speaker.newId())
    const envelope: Envelope = { from, to: receiver, at, timeZone, processingId, controlId }
    const due = dueMessage(chart, subject, { destination: name, types: messages, type }, envelope)
    if (!due) return []
    number += 1
    return [composed(writer, due, name, number, controlId)]
  })
}

function composed(writer: Writer, due: DueMessage, destination: string, number: number, controlId: string) {
  const { patientId, orderId, ...told } = due
  const messageId = idOfNumber('message', writer.facility, `${destination} ${controlId}`)
  const body = { ...told, destination, number, controlId }
  return writeFact(writer, 'message-composed', { messageId, patientId, orderId }, body)
}

/** MSH-10 holds 20 characters (HL7 v2.5.1, 2.14.9.10): the time and the random part of an id, in base 36. */
export function controlIdOf(id: string): string {
  const hex = id.replaceAll('-', '')
  const time = BigInt(`0x${hex.slice(0, 12)}`)
    .toString(36)
    .padStart(10, '0')
  const random = BigInt(`0x${hex.slice(19, 32)}`)
    .toString(36)
    .slice(-10)
    .padStart(10, '0')
  return (time + random).toUpperCase()
}
