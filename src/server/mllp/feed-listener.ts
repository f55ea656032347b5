import { createServer, type Server, type Socket } from 'node:net'
import { createServer as createTlsServer, type TlsOptions } from 'node:tls'
import type { FastifyBaseLogger } from 'fastify'
import type { Frame } from '../../exchange/hl7/mllp.ts'
import type { Door } from '../../exchange/receive.ts'
import { faultOf } from '../errors.ts'
import type { Intake } from '../intake.ts'
import { FeedConnection } from './feed-connection.ts'
import type { FeedMetrics } from './feed-metrics.ts'
import type { Listen } from './feed-settings.ts'

/** A dead peer is noticed by the system after about this long [ms]. */
const KEEP_ALIVE_MS = 60_000

type Parts = {
  readonly settings: Listen
  /** Key, certificate and authority as read; null without TLS. */
  readonly tls: TlsOptions | null
  readonly door: Pick<Door, 'receiveFrame'>
  readonly intake: Intake
  readonly metrics: FeedMetrics
  readonly log: FastifyBaseLogger
}

/**
 * Takes messages over the HL7 Lower Layer Protocol. Each is stored before it is answered; one that cannot be stored is
 * not answered at all and its connection is closed, so that its sender sends it again.
 */
export class FeedListener {
  readonly #parts: Parts
  readonly #server: Server
  readonly #sockets = new Set<Socket>()
  readonly #connections = new Set<FeedConnection>()

  constructor(parts: Parts) {
    this.#parts = parts
    const { settings, tls } = parts
    const options = {
      keepAlive: true,
      keepAliveInitialDelay: KEEP_ALIVE_MS,
      noDelay: true,
      // A sender may end its half after the last message and still wait for the answer.
      allowHalfOpen: true,
    }
    this.#server =
      tls === null
        ? createServer(options)
        : createTlsServer({ ...options, ...tls, handshakeTimeout: settings.frameSeconds * 1000 })
    this.#server.on('connection', (socket: Socket) => this.#opened(socket, tls === null))
    this.#server.on('secureConnection', (socket: Socket) => this.#connected(socket))
    this.#server.on('tlsClientError', (_error, socket: Socket) => {
      parts.metrics.turnedAway('tls')
      socket.destroy()
    })
  }

  /** Begins to listen; gives the port. @throws Error in one sentence when it cannot */
  listen(): Promise<number> {
    const { host, port } = this.#parts.settings
    return new Promise((resolve, reject) => {
      const fail = (error: NodeJS.ErrnoException) =>
        reject(new Error(`Messages cannot be taken on ${host} port ${port}: ${error.code ?? error.message}.`))
      this.#server.once('error', fail)
      this.#server.listen(port, host, () => {
        this.#server.off('error', fail)
        this.#server.on('error', (error) => this.#parts.log.error(faultOf(error), 'message listener'))
        const address = this.#server.address()
        resolve(typeof address === 'object' && address !== null ? address.port : port)
      })
    })
  }

  /** Takes no more connections, lets what is being stored be answered, and closes. */
  async close(): Promise<void> {
    const closed = new Promise<void>((resolve) => this.#server.close(() => resolve()))
    await Promise.all([...this.#connections].map((connection) => connection.close()))
    for (const socket of this.#sockets) socket.destroy()
    await closed
  }

  /** Every connection, before any handshake: strangers and too many are turned away. */
  #opened(socket: Socket, isPlain: boolean): void {
    const { from, mostConnections } = this.#parts.settings
    const address = (socket.remoteAddress ?? '').replace(/^::ffff:/, '')
    const isStranger = from !== undefined && !from.includes(address)
    if (isStranger || this.#sockets.size >= mostConnections) {
      const why = isStranger ? 'address' : 'too many'
      this.#parts.metrics.turnedAway(why)
      this.#parts.log.warn({ why }, 'message connection turned away')
      socket.destroy()
      return
    }
    this.#sockets.add(socket)
    socket.once('close', () => this.#sockets.delete(socket))
    if (isPlain) this.#connected(socket)
  }

  #connected(socket: Socket): void {
    const { settings, log, metrics } = this.#parts
    const connection = new FeedConnection(socket, {
      frameMs: settings.frameSeconds * 1000,
      largestBytes: settings.largestBytes,
      take: (frame) => this.#take(frame),
      failed: (error) => log.error(faultOf(error), 'a message could not be stored and was not answered'),
      slow: () => metrics.turnedAway('slow'),
      cutShort: () => metrics.received('cut short'),
    })
    this.#connections.add(connection)
    socket.once('close', () => this.#connections.delete(connection))
  }

  /** Stores what came; gives the answer to send, if any. */
  async #take(frame: Frame): Promise<string | null> {
    const { door, intake, metrics } = this.#parts
    const [answer] = await intake.take((known) => [door.receiveFrame(frame, known)])
    metrics.received(answer?.replayed ? 'repeated' : (answer?.code ?? 'unreadable'))
    return answer?.text ?? null
  }
}
