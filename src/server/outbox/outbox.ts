import type { FastifyBaseLogger } from 'fastify'
import type { Chart } from '../../chart/folds/chart.ts'
import { isGivenUp } from '../../chart/folds/outgoing.ts'
import { type AnyFact, readFact, writeFact } from '../../chart/registry.ts'
import { LedgerMoved } from '../../store/append.ts'
import type { Ledger } from '../../store/ledger.ts'
import { faultOf } from '../errors.ts'
import type { LiveChart } from '../live-chart.ts'
import type { Destination, Feeds } from '../mllp/feed-settings.ts'
import { composeFacts, composerOf, feedWriter, type Speaker } from './compose.ts'
import type { Delivery } from './delivery.ts'

const PAGE = 2000
/** How often what is to be told is worked out anew because others wrote meanwhile, before it waits for a calmer time. */
const MOST_TURNS = 20
const AGAIN_MS = 1000

type Parts = {
  readonly feeds: Feeds
  readonly deliveries: readonly Delivery[]
  readonly ledger: Ledger
  readonly chart: LiveChart
  readonly speaker: Speaker
  readonly log: FastifyBaseLogger
}

/** One destination: from which entry on its treatments are looked at, and which of them are to be looked at now. */
type Feed = {
  readonly destination: Destination
  readonly delivery: Delivery
  from: number
  readonly touched: Set<string>
}

/**
 * Works out from the ledger what other systems are to be told, and writes it there as messages before anything is sent.
 * A message is written only onto the very ledger that it was worked out from, so that several processes never tell one
 * thing twice, and a new one begins where the last message left off.
 */
export class Outbox {
  readonly #parts: Parts
  #feeds: readonly Feed[] = []
  #cursor = 0
  #pass: Promise<void> = Promise.resolve()
  #isAsked = false
  #again: NodeJS.Timeout | null = null
  #stopHearing: () => void = () => undefined
  #isStopped = false

  constructor(parts: Parts) {
    this.#parts = parts
  }

  /** Finds where each feed stands, opens new ones, and begins to send. */
  async start(): Promise<void> {
    const { feeds, deliveries, ledger, chart, speaker } = this.#parts
    const opened: Feed[] = []
    for (const delivery of deliveries) {
      const destination = feeds.send.find(({ name }) => name === delivery.name)
      if (!destination) continue
      opened.push({ destination, delivery, from: await this.#from(destination), touched: new Set() })
    }
    this.#feeds = opened
    this.#cursor = Math.min(...opened.map(({ from }) => from))
    this.#stopHearing = ledger.onGrowth((facility) => {
      if (facility === speaker.facility) this.#look()
    })
    for (const message of (await chart.now()).outgoings()) {
      for (const { delivery } of opened) delivery.see(message)
    }
    this.#look()
    for (const { delivery } of opened) delivery.start()
  }

  async stop(): Promise<void> {
    this.#isStopped = true
    this.#stopHearing()
    if (this.#again) clearTimeout(this.#again)
    await this.#pass
    await Promise.all(this.#feeds.map(({ delivery }) => delivery.stop()))
  }

  /** What waits and what was given up, by destination. */
  async counts() {
    const chart = await this.#parts.chart.now()
    const givenUp = chart.outgoings().filter(isGivenUp)
    return this.#feeds.map(({ destination: { name }, delivery }) => ({
      destination: name,
      waiting: delivery.waiting,
      givenUp: givenUp.filter(({ destination }) => destination === name).length,
    }))
  }

  /** The last entry that was looked at for this destination. Everything up to a message was, when it was written. */
  async #from({ name }: Destination): Promise<number> {
    const { ledger, speaker } = this.#parts
    const { facility } = speaker
    const last = await ledger.lastBy(facility, composerOf(name))
    if (last > 0) return last
    const writer = feedWriter(speaker, composerOf(name))
    await this.#append([writeFact(writer, 'feed-opened', {}, { destination: name })])
    return ledger.lastBy(facility, composerOf(name))
  }

  /** One pass at a time; asked for again meanwhile, one more follows. */
  #look(): void {
    if (this.#isAsked || this.#isStopped) return
    this.#isAsked = true
    this.#pass = this.#pass
      .then(() => {
        this.#isAsked = false
        return this.#isStopped ? undefined : this.#once()
      })
      .catch((error: unknown) => {
        if (!(error instanceof LedgerMoved))
          this.#parts.log.error(faultOf(error), 'messages could not be written')
        this.#again = setTimeout(() => this.#look(), AGAIN_MS)
      })
  }

  async #once(): Promise<void> {
    const { chart } = this.#parts
    for (let turn = 1; ; turn += 1) {
      const known = await chart.now()
      const upTo = chart.upTo
      await this.#catchUp(known, upTo)
      const facts = this.#feeds.flatMap(({ destination, delivery, touched }) =>
        composeFacts(
          known,
          touched,
          destination,
          this.#parts.feeds,
          this.#parts.speaker,
          delivery.lastNumber,
        ),
      )
      try {
        if (facts.length > 0) await this.#append(facts, upTo)
        for (const { touched } of this.#feeds) touched.clear()
        return
      } catch (error) {
        if (turn >= MOST_TURNS) throw error
        if (!(error instanceof LedgerMoved)) throw error
      }
    }
  }

  /** Takes note of every entry up to the one that the chart knows. */
  async #catchUp(known: Chart, upTo: number): Promise<void> {
    const { ledger, speaker } = this.#parts
    while (this.#cursor < upTo) {
      const entries = await ledger.after(speaker.facility, this.#cursor, Math.min(PAGE, upTo - this.#cursor))
      for (const { sequence, text } of entries) {
        const read = readFact(JSON.parse(text))
        if (read.ok) this.#note(known, sequence, read.fact)
      }
      this.#cursor = entries.at(-1)?.sequence ?? upTo
    }
  }

  #note(known: Chart, sequence: number, fact: AnyFact): void {
    const message = fact.about.messageId === undefined ? null : known.outgoing(fact.about.messageId)
    for (const feed of this.#feeds) {
      if (message) feed.delivery.see(message)
      if (sequence <= feed.from) continue
      for (const subject of subjectsOf(known, fact)) feed.touched.add(subject)
      if (message?.isAskedAgain && message.destination === feed.destination.name)
        feed.touched.add(message.subject)
    }
  }

  async #append(facts: readonly AnyFact[], onlyIfLast?: number): Promise<void> {
    const { ledger, speaker } = this.#parts
    const receivedAt = new Date(speaker.nowMs()).toISOString()
    await ledger.append(speaker.facility, {
      facts,
      receivedAt,
      deviceAheadMs: null,
      together: true,
      ...(onlyIfLast !== undefined && { onlyIfLast }),
    })
  }
}

/** The treatments of which a fact may change what is told. */
function subjectsOf(known: Chart, fact: AnyFact): string[] {
  const { visitId } = fact.about
  if (visitId !== undefined) return [visitId]
  if (fact.kind === 'dose-not-given') return [fact.corrects ?? fact.id]
  // A visit may reach the ledger before its order does.
  if (fact.kind === 'order-placed')
    return known.visitsOf(fact.about.orderId ?? '').map((visit) => visit.visitId)
  return []
}
