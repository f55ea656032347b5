import { randomBytes, randomUUID } from 'node:crypto'
import type { FastifyInstance } from 'fastify'
import type { Registry } from 'prom-client'
import { uuidv7 } from '../chart/ids.ts'
import type { Context } from './context.ts'
import { FeedListener } from './mllp/feed-listener.ts'
import { feedMetrics } from './mllp/feed-metrics.ts'
import type { ReadyFeeds } from './mllp/read-certificates.ts'
import type { Speaker } from './outbox/compose.ts'
import { Delivery } from './outbox/delivery.ts'
import { Outbox } from './outbox/outbox.ts'

/**
 * Opens the lines to other systems with the server and closes them with it: what is being stored is answered first, and
 * what waits is sent after the next start.
 */
export function openFeeds(
  app: FastifyInstance,
  context: Context,
  registry: Registry,
  ready: ReadyFeeds,
): void {
  const { ledger, facility, record, intake, door, nowMs } = context
  const { feeds, listenTls, sendTls } = ready
  const { log } = app
  const newId = () => uuidv7({ nowMs, randomBytes: (length) => new Uint8Array(randomBytes(length)) })
  const speaker: Speaker = { facility, newId, nowMs }
  let outbox: Outbox | null = null
  const metrics = feedMetrics(registry, async () => outbox?.counts() ?? [])
  const owner = randomUUID()
  const deliveries = feeds.send.map((destination) => {
    const tls = sendTls.get(destination.name) ?? null
    return new Delivery({ destination, tls, ledger, record, speaker, owner, metrics, log })
  })
  if (deliveries.length > 0) outbox = new Outbox({ feeds, deliveries, ledger, record, speaker, log })
  const listener = feeds.listen
    ? new FeedListener({ settings: feeds.listen, tls: listenTls, door, intake, metrics, log })
    : null
  app.addHook('onReady', async () => {
    const port = await listener?.listen()
    if (port !== undefined) context.feeds?.listening?.(port)
    await outbox?.start()
  })
  app.addHook('onClose', async () => {
    await listener?.close()
    await outbox?.stop()
  })
}
