import type { MedicineCodes } from '../chart/documents/medicine-codes.ts'
import type { OrderBody } from '../chart/facts/orders.ts'
import type { Chart } from '../chart/folds/chart.ts'
import { idOfNumber } from '../chart/ids.ts'
import { type AnyFact, type BodyOf, readFact, type Writer, writeFact } from '../chart/registry.ts'
import { FactRefused, type Made } from './fact-refused.ts'
import type { OrderReading } from './hl7/read-orders.ts'

/** The ways in which something comes from outside. */
export type Channel = BodyOf<'message-received'>['channel']

/** What came of one message, row or entry: the facts to store in order, and what is answered. */
export type Received = { readonly facts: readonly AnyFact[]; readonly answer: Answered }

export type Answered = {
  readonly key: string | null
  readonly type: string | null
  readonly code: 'AA' | 'AE' | 'AR' | null
  readonly text: string | null
  /** Came before: the first answer was given again and nothing was made. */
  readonly replayed: boolean
  readonly made: { id: string; kind: string }[]
  readonly problems: { where: string; code: string; what: string }[]
}

/** What the door needs of the world. The program itself is the writer of what it reads. */
export type DoorSettings = {
  readonly writer: Writer
  /** The time zone of times that come without one: the hospital's own. */
  readonly timeZone: (chart: Chart) => string
  readonly codes: (chart: Chart) => MedicineCodes
  /** Looks an order over when it arrives or changes. */
  readonly review: (
    chart: Chart,
    patientId: string,
    orderId: string,
    order: OrderBody,
    at: string,
  ) => Omit<BodyOf<'order-reviewed'>, 'reviewsFact'>
}

/** Makes facts of what was read, whatever language it came in. Each is read back: one that could not be is not made. */
export class FactMaker {
  readonly #settings: DoorSettings
  constructor(settings: DoorSettings) {
    this.#settings = settings
  }

  /** What is to be done with an order, with the review of its terms where they are new. @throws FactRefused */
  order(patientId: string, reading: OrderReading, chart: Chart, channel: Channel): Made {
    const { facility } = this.#settings.writer
    const orderId = idOfNumber('order', facility, reading.placer)
    const about = { patientId, orderId }
    const effectiveAt = reading.effectiveAt ?? this.now()
    const { reason, order } = reading
    switch (reading.act) {
      case 'new': {
        if (!order) return []
        const placed = this.write('order-placed', about, { order, channel }, reading.writtenAt ?? null)
        return [placed, this.#reviewed(about, order, placed.id, chart)]
      }
      case 'change': {
        if (!order) return []
        const from = order.startAt ?? effectiveAt
        // A change of an order that has not arrived carries all its terms: it is then the order.
        const fact = chart.order(orderId)
          ? this.write('order-changed', about, { order, effectiveAt: from, reason }, null)
          : this.write('order-placed', about, { order, channel }, null)
        return [fact, this.#reviewed(about, order, fact.id, chart)]
      }
      case 'hold':
        return [this.write('order-held', about, { effectiveAt, reason }, null)]
      case 'release':
        return [this.write('order-released', about, { effectiveAt, reason }, null)]
      case 'discontinue':
        return [this.write('order-discontinued', about, { effectiveAt, reason }, null)]
    }
  }

  #reviewed(
    about: { patientId: string; orderId: string },
    order: OrderBody,
    reviewsFact: string,
    chart: Chart,
  ): AnyFact {
    const review = this.#settings.review(chart, about.patientId, about.orderId, order, this.now())
    return this.write('order-reviewed', about, { reviewsFact, ...review }, null)
  }

  /** The message as it came, what was answered, and what was made of it, in one fact before the others. */
  kept(
    said: Omit<BodyOf<'message-received'>, 'made' | 'encoding'> & {
      readonly encoding?: BodyOf<'message-received'>['encoding']
    },
    made: Made,
    key = said.key ?? said.raw,
  ): Received {
    const messageId = idOfNumber('message', this.#settings.writer.facility, key)
    const kept = this.write(
      'message-received',
      { messageId },
      { encoding: 'text', ...said, made: made.map(({ id }) => id) },
      null,
    )
    return {
      facts: [kept, ...made],
      answer: {
        key: said.key,
        type: said.type,
        code: said.answer?.code ?? null,
        text: said.answer?.text || null,
        replayed: false,
        made: made.map(({ id, kind }) => ({ id, kind })),
        problems: [...said.problems],
      },
    }
  }

  /** The message of that key, or where there is none of the very same text, if it came before. */
  before(key: string, chart: Chart): BodyOf<'message-received'> | null {
    const messageId = idOfNumber('message', this.#settings.writer.facility, key)
    const fact = chart.factsAbout('message', messageId)[0]
    return fact?.kind === 'message-received' ? fact.body : null
  }

  write<K extends AnyFact['kind']>(
    kind: K,
    about: AnyFact['about'],
    body: BodyOf<K>,
    happenedAt: string | null,
  ): Extract<AnyFact, { kind: K }> {
    const fact = writeFact(
      this.#settings.writer,
      kind,
      about,
      body,
      happenedAt === null ? {} : { happenedAt },
    )
    const read = readFact(fact)
    if (!read.ok) throw new FactRefused(fact, read.problems[0])
    return fact
  }

  now(): string {
    return new Date(this.#settings.writer.nowMs()).toISOString()
  }
}

/** The answer that was given when it came first. */
export function replay(before: BodyOf<'message-received'>, key: string | null): Received {
  const { answer, type, problems } = before
  return {
    facts: [],
    answer: {
      key,
      type,
      code: answer?.code ?? null,
      text: answer?.text || null,
      replayed: true,
      made: [],
      problems: [...problems],
    },
  }
}
