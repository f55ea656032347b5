import { Counter, Gauge, type Registry } from 'prom-client'

/** What a message feed counts: by outcome and destination, never by patient. */
export type FeedMetrics = {
  /** AA, AE, AR as answered; `repeated` came before; `unreadable` could not be answered. */
  readonly received: (outcome: string) => void
  readonly turnedAway: (why: 'address' | 'too many' | 'slow' | 'tls') => void
  readonly sent: (destination: string, outcome: string) => void
}

/** What waits for a destination, and what was given up and still needs somebody. */
export type Waiting = () => Promise<
  readonly { readonly destination: string; readonly waiting: number; readonly givenUp: number }[]
>

export function feedMetrics(registry: Registry, waiting: Waiting): FeedMetrics {
  const registers = [registry]
  const received = new Counter({
    name: 'mistwright_messages_received_total',
    help: 'Messages that came over the line, by how they were answered',
    labelNames: ['outcome'],
    registers,
  })
  const turnedAway = new Counter({
    name: 'mistwright_message_connections_turned_away_total',
    help: 'Connections that were cut off, by why',
    labelNames: ['why'],
    registers,
  })
  const sent = new Counter({
    name: 'mistwright_messages_sent_total',
    help: 'Tries to send a message, by destination and outcome',
    labelNames: ['destination', 'outcome'],
    registers,
  })
  const gauges = {
    waiting: new Gauge({
      name: 'mistwright_messages_waiting',
      help: 'Messages that a destination has yet to take',
      labelNames: ['destination'],
      registers,
      collect: async () => {
        for (const each of await waiting())
          gauges.waiting.set({ destination: each.destination }, each.waiting)
      },
    }),
    givenUp: new Gauge({
      name: 'mistwright_messages_given_up',
      help: 'Messages that a destination did not take and that need somebody',
      labelNames: ['destination'],
      registers,
      collect: async () => {
        for (const each of await waiting())
          gauges.givenUp.set({ destination: each.destination }, each.givenUp)
      },
    }),
  }
  return {
    received: (outcome) => received.inc({ outcome }),
    turnedAway: (why) => turnedAway.inc({ why }),
    sent: (destination, outcome) => sent.inc({ destination, outcome }),
  }
}
