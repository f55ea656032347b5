import type { FastifyBaseLogger } from 'fastify'
import type { Chart } from '../../chart/folds/chart.ts'
import { type AnyFact, readFact, writeFact } from '../../chart/registry.ts'
import { LedgerMoved } from '../../store/append.ts'
import type { Ledger } from '../../store/ledger.ts'
import { faultOf } from '../errors.ts'
import type { Destination, Feeds } from '../mllp/feed-settings.ts'
import type { OnDemand } from '../on-demand.ts'
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
  readonly record: OnDemand
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
    const { feeds, deliveries, ledger, record, speaker } = this.#parts
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
    for (const id of await ledger.openMessages(speaker.facility)) {
      const message = await record.read((chart) => chart.outgoing(id))
      if (message) for (const { delivery } of opened) delivery.see(message)
    }
    for (const { delivery } of opened) delivery.start(await this.#lastNumber(delivery.name))
    this.#look()
  }

  async stop(): Promise<void> {
    this.#isStopped = true
    this.#stopHearing()
    if (this.#again) clearTimeout(this.#again)
    await this.#pass
    await Promise.all(this.#feeds.map(({ delivery }) => delivery.stop()))
  }

  /** What waits and what was given up, by destination. */
  counts() {
    return this.#feeds.map(({ delivery: { name: destination, waiting, givenUp } }) => ({
      destination,
      waiting,
      givenUp,
    }))
  }

  /** The number of the last message to a destination: they are written in the order of their numbers. */
  async #lastNumber(name: string): Promise<number> {
    const { ledger, speaker } = this.#parts
    const last = await ledger.lastBy(speaker.facility, composerOf(name))
    const [entry] = await ledger.after(speaker.facility, last - 1, 1)
    const read = entry && readFact(JSON.parse(entry.text))
    return read?.ok && read.fact.kind === 'message-composed' ? read.fact.body.number : 0
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
    const { ledger, record, feeds, speaker } = this.#parts
    for (let turn = 1; ; turn += 1) {
      const upTo = await ledger.last(speaker.facility)
      await this.#catchUp(upTo)
      const facts: AnyFact[] = []
      for (const { destination, delivery, touched } of this.#feeds) {
        if (touched.size === 0) continue
        const compose = (chart: Chart) =>
          composeFacts(chart, touched, destination, feeds, speaker, delivery.lastNumber)
        facts.push(...(await record.read(compose)))
      }
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

  /** Takes note of every entry up to a number. */
  async #catchUp(upTo: number): Promise<void> {
    const { ledger, speaker } = this.#parts
    while (this.#cursor < upTo) {
      const entries = await ledger.after(speaker.facility, this.#cursor, Math.min(PAGE, upTo - this.#cursor))
      for (const { sequence, text } of entries) {
        const read = readFact(JSON.parse(text))
        if (read.ok) await this.#note(sequence, read.fact)
        this.#cursor = sequence
      }
      if (entries.length === 0) this.#cursor = upTo
    }
  }

  async #note(sequence: number, fact: AnyFact): Promise<void> {
    const { record } = this.#parts
    const { messageId } = fact.about
    const message = messageId === undefined ? null : await record.read((chart) => chart.outgoing(messageId))
    const subjects = await record.read((chart) => subjectsOf(chart, fact))
    for (const feed of this.#feeds) {
      if (message) feed.delivery.see(message)
      if (sequence <= feed.from) continue
      for (const subject of subjects) feed.touched.add(subject)
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
