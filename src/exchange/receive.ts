import type { OrderBody } from '../chart/facts/orders.ts'
import type { Chart } from '../chart/folds/chart.ts'
import { idOfNumber } from '../chart/ids.ts'
import type { BodyOf, Writer } from '../chart/registry.ts'
import { readOrderList } from './csv/order-list.ts'
import { type DoorSettings, FactMaker, type Received, replay } from './fact-maker.ts'
import { attempt, type Made } from './fact-refused.ts'
import { FhirDoor, type SentBundle } from './fhir/fhir-door.ts'
import type { Frame } from './hl7/mllp.ts'
import { partOfFrame } from './hl7/part-of-frame.ts'
import { placeInMessage } from './hl7/place-in-message.ts'
import type { Hl7Problem } from './hl7/problem.ts'
import { type Hl7Reading, readHl7, unreadable } from './hl7/read-hl7.ts'
import type { OrderReading } from './hl7/read-orders.ts'
import { KEY_TAKEN, ownKey, sameText } from './hl7/same-message.ts'
import { type Part, splitMessages } from './hl7/split.ts'

export type { Answered, DoorSettings, Received } from './fact-maker.ts'

/** The one door for everything that comes from outside. Each act sees what the ones before it made. */
export class Door {
  readonly #settings: DoorSettings
  readonly #maker: FactMaker
  constructor(settings: DoorSettings) {
    this.#settings = settings
    this.#maker = new FactMaker(settings)
  }

  /**
   * Takes a text of messages, an order list or a FHIR bundle, one after the other. `chart` is what is known so far; it is not changed.
   * @throws FactRefused for a message or list that is longer than the ledger keeps (4,000,000 characters)
   */
  receive(channel: 'hl7v2' | 'csv' | 'fhir', text: string, chart: Chart): Received[] {
    if (channel === 'fhir') return [this.receiveBundle({ text }, chart)]
    const seen = chart.copy()
    const received: Received[] = []
    if (channel === 'csv') return [this.#list(text, seen)]
    for (const part of splitMessages(text)) {
      const one = this.#message(part, seen)
      seen.add(one.facts)
      received.push(one)
    }
    return received
  }

  /** Takes one bundle of FHIR R4. @throws FactRefused for one that is longer than the ledger keeps */
  receiveBundle(sent: SentBundle, chart: Chart): Received {
    return new FhirDoor(this.#maker, this.#settings).receive(sent, chart)
  }

  /** Takes one frame of a line, or what came outside of any. */
  receiveFrame(frame: Frame, chart: Chart): Received {
    return this.#message(partOfFrame(frame), chart)
  }

  /** An order typed in by a person for a patient that the census knows. */
  enterByHand(patientId: string, order: OrderBody, by: Writer['by'], chart: Chart): Received {
    const reading: OrderReading = {
      act: 'new',
      placer: order.placer,
      filler: null,
      effectiveAt: null,
      reason: null,
      order,
    }
    const tried = attempt(() => this.#maker.order(patientId, reading, chart, 'hand'))
    const raw = JSON.stringify({ patientId, order, enteredBy: by })
    return this.#maker.kept(
      {
        channel: 'hand',
        raw,
        key: null,
        type: 'order by hand',
        sender: by.personId,
        answer: { code: tried.ok ? 'AA' : 'AE', text: '' },
        problems: tried.ok ? [] : [{ where: tried.refused.where, code: '102', what: tried.refused.message }],
      },
      tried.ok ? tried.made : [],
    )
  }

  #message({ text, whyNot, wrong = [], base64 }: Part, chart: Chart): Received {
    const raw = base64 ?? text
    const { timeZone, codes, writer } = this.#settings
    const us = {
      application: 'MISTWRIGHT',
      facility: writer.facility.toUpperCase(),
      controlId: writer.newId(),
      now: this.#maker.now(),
    }
    const read = (alsoWrong: readonly Hl7Problem[] = []) =>
      whyNot === null
        ? readHl7(text, { timeZone: timeZone(chart), codes: codes(chart), us }, [...wrong, ...alsoWrong])
        : unreadable('the whole', whyNot)
    const first = read()
    const known = this.#known(raw, first.key, chart)
    if (known.same) return replay(known.same, first.key)
    const checked = known.isKeyTaken
      ? { reading: read([KEY_TAKEN]), made: [] }
      : this.#checked(first, text, read, chart)
    const { reading, made } = checked
    const problems = [...reading.problems, ...this.#unknownOrders(reading, chart)]
    return this.#maker.kept(
      {
        channel: 'hl7v2',
        raw,
        encoding: base64 === undefined ? 'text' : 'base64',
        key: reading.key,
        type: reading.type,
        sender: reading.sender,
        answer: reading.answer,
        problems,
      },
      made,
      known.isKeyTaken ? ownKey(first.key, raw) : undefined,
    )
  }

  /** What a reading becomes; when one of its facts could not be read back, nothing, and the reading says why. */
  #checked(
    reading: Hl7Reading,
    text: string,
    read: (alsoWrong: readonly Hl7Problem[]) => Hl7Reading,
    chart: Chart,
  ): { readonly reading: Hl7Reading; readonly made: Made } {
    const tried = attempt(() => this.#facts(reading, chart))
    if (tried.ok) return { reading, made: tried.made }
    const { fact, where, message } = tried.refused
    return { reading: read([placeInMessage(text, fact, where, message)]), made: [] }
  }

  /** The same message, if it came before; and whether its key was another's. */
  #known(
    text: string,
    key: string | null,
    chart: Chart,
  ): { readonly same: BodyOf<'message-received'> | null; readonly isKeyTaken: boolean } {
    const ofKey = this.#maker.before(key ?? text, chart)
    if (!ofKey || sameText(ofKey.raw, text)) return { same: ofKey, isKeyTaken: false }
    return { same: this.#maker.before(ownKey(key, text), chart), isKeyTaken: true }
  }

  #facts(reading: Hl7Reading, chart: Chart): Made {
    const { content } = reading
    if (content.kind === 'nothing') return []
    const { facility } = this.#settings.writer
    const patientId = idOfNumber('patient', facility, content.mrn)
    switch (content.kind) {
      case 'census': {
        const { event, patch, happenedAt } = content
        return [this.#maker.write('census-updated', { patientId }, { event, patch }, happenedAt)]
      }
      case 'orders': {
        // An order may come before the census has spoken of its patient; then its own words on the patient are all there is.
        const known = chart.patient(patientId).mrn !== null
        const introduced = known
          ? []
          : [
              this.#maker.write(
                'census-updated',
                { patientId },
                { event: 'updated', patch: content.patient },
                null,
              ),
            ]
        const seen = known ? chart : chart.copy().add(introduced)
        return [
          ...introduced,
          ...content.orders.flatMap((order) => this.#maker.order(patientId, order, seen, 'hl7v2')),
        ]
      }
      case 'outside':
        return [
          this.#maker.write('outside-record-received', { patientId }, content.outside, content.happenedAt),
        ]
    }
  }

  /** A hold or stop of an order that has not arrived is kept and will count when it does; a person is told. */
  #unknownOrders({ content }: Hl7Reading, chart: Chart): BodyOf<'message-received'>['problems'] {
    if (content.kind !== 'orders') return []
    return content.orders
      .filter(
        ({ act, placer }) =>
          act !== 'new' &&
          act !== 'change' &&
          !chart.order(idOfNumber('order', this.#settings.writer.facility, placer)),
      )
      .map(({ act, placer }) => ({
        where: 'ORC-2',
        code: '204',
        what: `${act} of order ${placer}, which has not arrived; kept, and counted when it does`,
      }))
  }

  #list(text: string, chart: Chart): Received {
    const { timeZone, codes } = this.#settings
    const before = this.#maker.before(text, chart)
    if (before) return replay(before, null)
    const { rows, problems } = readOrderList(text, {
      timeZone: timeZone(chart),
      codes: codes(chart),
      now: this.#maker.now(),
    })
    let seen = chart
    const made = rows.flatMap((row) => {
      const patientId = idOfNumber('patient', this.#settings.writer.facility, row.mrn)
      if (seen.patient(patientId).mrn === null) {
        problems.push({
          where: `row ${row.line}, record_number`,
          code: '204',
          what: `the census does not know record number ${row.mrn}; nothing was made of this row`,
        })
        return []
      }
      const orderId = idOfNumber('order', this.#settings.writer.facility, row.reading.placer)
      if (seen.order(orderId)) {
        problems.push({
          where: `row ${row.line}, order_number`,
          code: '204',
          what: `order ${row.reading.placer} is there already; nothing was made of this row`,
        })
        return []
      }
      const known = seen
      const tried = attempt(() => this.#maker.order(patientId, row.reading, known, 'csv'))
      if (!tried.ok) {
        const { where, message } = tried.refused
        problems.push({ where: `row ${row.line}, ${where}`, code: '102', what: message })
        return []
      }
      seen = seen.copy().add(tried.made)
      return tried.made
    })
    const code = problems.length === 0 ? 'AA' : 'AE'
    return this.#maker.kept(
      {
        channel: 'csv',
        raw: text,
        key: null,
        type: 'order list',
        sender: null,
        answer: { code, text: '' },
        problems,
      },
      made,
    )
  }
}
