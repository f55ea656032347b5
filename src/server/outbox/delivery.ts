import type { FastifyBaseLogger } from 'fastify'
import { isGivenUp, type OutgoingState } from '../../chart/folds/outgoing.ts'
import { type BodyOf, writeFact } from '../../chart/registry.ts'
import type { Ledger } from '../../store/ledger.ts'
import { faultOf } from '../errors.ts'
import { FeedLine, type Sent } from '../mllp/feed-line.ts'
import type { FeedMetrics } from '../mllp/feed-metrics.ts'
import type { Destination } from '../mllp/feed-settings.ts'
import type { OnDemand } from '../on-demand.ts'
import { feedWriter, type Speaker, senderOf } from './compose.ts'

type Parts = {
  readonly destination: Destination
  readonly tls: ConstructorParameters<typeof FeedLine>[0]['tls']
  readonly ledger: Ledger
  readonly record: OnDemand
  readonly speaker: Speaker
  /** Names this process among those on the same database. */
  readonly owner: string
  readonly metrics: FeedMetrics
  readonly log: FastifyBaseLogger
}

/** How long the right to send outlives the last try [ms]: a process that dies keeps the others waiting no longer. */
const LEASE_SPARE_MS = 15_000

/**
 * Sends what waits for one destination, one after the other in the order of their numbers, until each is answered. A
 * message that was sent is sent again, the same to the byte and under the same control id, until its answer is on the
 * disk here; that a message comes twice is the receiver's to see. Of several processes one sends.
 */
export class Delivery {
  readonly #parts: Parts
  readonly #line: FeedLine
  readonly #waiting = new Map<string, OutgoingState>()
  readonly #givenUp = new Set<string>()
  #lastNumber = 0
  #tries = { messageId: '', unanswered: 0, rejected: 0, inARow: 0 }
  #isStopped = false
  #wake: () => void = () => undefined
  #running: Promise<void> = Promise.resolve()

  constructor(parts: Parts) {
    this.#parts = parts
    const { host, port, answerSeconds } = parts.destination
    this.#line = new FeedLine({ host, port, answerMs: answerSeconds * 1000, tls: parts.tls })
  }

  get name(): string {
    return this.#parts.destination.name
  }

  /** How many messages were given up. */
  get givenUp(): number {
    return this.#givenUp.size
  }

  get waiting(): number {
    return this.#waiting.size
  }

  /** The highest number given to a message so far. */
  get lastNumber(): number {
    return this.#lastNumber
  }

  /** Takes note of a message as it stands now. */
  see(message: OutgoingState): void {
    if (message.destination !== this.name) return
    this.#lastNumber = Math.max(this.#lastNumber, message.number)
    if (message.state === 'waiting') this.#waiting.set(message.messageId, message)
    else this.#waiting.delete(message.messageId)
    if (isGivenUp(message)) this.#givenUp.add(message.messageId)
    else this.#givenUp.delete(message.messageId)
    this.#wake()
  }

  /** Begins to send; the next message gets a number after this one. */
  start(lastNumber: number): void {
    this.#lastNumber = Math.max(this.#lastNumber, lastNumber)
    this.#running = this.#run()
  }

  async stop(): Promise<void> {
    this.#isStopped = true
    this.#wake()
    this.#line.close()
    await this.#running
    const { ledger, speaker, owner } = this.#parts
    await ledger.endLease({ facility: speaker.facility, name: this.#leaseName, owner })
  }

  async #run(): Promise<void> {
    while (!this.#isStopped) {
      const next = [...this.#waiting.values()].sort((a, b) => a.number - b.number)[0]
      const waitMs = next ? await this.#turn(next).catch((error) => this.#failed(error)) : null
      if (waitMs !== 0) await this.#pause(waitMs)
    }
  }

  /** The database was away, or something went wrong here: said in the log, and tried again. */
  #failed(error: unknown): number {
    this.#parts.log.error(faultOf(error), 'a message could not be sent')
    return this.#backOffMs()
  }

  /** One try; gives how long to wait until the next [ms]. */
  async #turn(message: OutgoingState): Promise<number> {
    if (!(await this.#maySend())) return LEASE_SPARE_MS / 2
    const known = await this.#parts.record.read((chart) => chart.outgoing(message.messageId))
    if (known?.state !== 'waiting' || known.text === null) {
      this.#waiting.delete(message.messageId)
      return 0
    }
    const sent = await this.#line.send(known.text, known.controlId)
    if (this.#isStopped && sent.kind !== 'answered') return 0
    this.#parts.metrics.sent(this.name, sent.kind === 'answered' ? sent.answer.verdict : sent.kind)
    const became = this.#judge(known, sent)
    if (!became) return this.#backOffMs()
    await this.#keep(known, became)
    return 0
  }

  get #leaseName(): string {
    return `sends to ${this.name}`
  }

  #maySend(): Promise<boolean> {
    const { ledger, speaker, owner, destination } = this.#parts
    // Two waits for an answer: a kept connection may be found closed, and the message sent once more.
    const forMs = 3 * destination.answerSeconds * 1000 + LEASE_SPARE_MS
    return ledger.takeLease({
      facility: speaker.facility,
      name: this.#leaseName,
      owner,
      nowMs: speaker.nowMs(),
      forMs,
    })
  }

  /** What became of a message after this try; null while it is to be tried again. */
  #judge({ messageId }: OutgoingState, sent: Sent): Omit<BodyOf<'message-answered'>, 'destination'> | null {
    if (this.#tries.messageId !== messageId)
      this.#tries = { messageId, unanswered: 0, rejected: 0, inARow: 0 }
    const tries = this.#tries
    const { mostTriesUnanswered, mostTriesRejected } = this.#parts.destination
    tries.inARow += 1
    if (sent.kind === 'no line') return null
    if (sent.kind === 'no answer') {
      tries.unanswered += 1
      if (tries.unanswered < mostTriesUnanswered) return null
      const why = `It was sent ${tries.unanswered} times, and ${sent.why}.`
      return { outcome: 'not answered', answer: null, why, tries: tries.inARow }
    }
    const { verdict, text: answer, why } = sent.answer
    if (verdict === 'accepted') return { outcome: 'taken', answer, why, tries: tries.inARow }
    if (verdict === 'rejected') tries.rejected += 1
    if (verdict === 'rejected' && tries.rejected < mostTriesRejected) return null
    return { outcome: 'refused', answer, why, tries: tries.inARow }
  }

  async #keep(
    message: OutgoingState,
    became: Omit<BodyOf<'message-answered'>, 'destination'>,
  ): Promise<void> {
    const { ledger, speaker } = this.#parts
    const { messageId } = message
    const body = { destination: this.name, ...became }
    const fact = writeFact(feedWriter(speaker, senderOf(this.name)), 'message-answered', { messageId }, body)
    const receivedAt = new Date(speaker.nowMs()).toISOString()
    await ledger.append(speaker.facility, { facts: [fact], receivedAt, deviceAheadMs: null, together: true })
    this.#waiting.delete(messageId)
  }

  /** Twice as long after each try, up to the longest wait. */
  #backOffMs(): number {
    const { firstWaitSeconds, longestWaitSeconds } = this.#parts.destination
    const doubled = firstWaitSeconds * 2 ** Math.min(30, Math.max(0, this.#tries.inARow - 1))
    return Math.min(doubled, longestWaitSeconds) * 1000
  }

  /** Until something new is to be seen when `ms` is null; otherwise for so long, whatever comes meanwhile. */
  #pause(ms: number | null): Promise<void> {
    if (this.#isStopped) return Promise.resolve()
    return new Promise((resolve) => {
      const done = () => {
        clearTimeout(timer)
        this.#wake = () => undefined
        resolve()
      }
      const timer = ms === null ? undefined : setTimeout(done, ms)
      this.#wake = () => {
        if (ms === null || this.#isStopped) done()
      }
    })
  }
}
