import fc from 'fast-check'
import { SITE } from '../../src/chart/documents/site.ts'
import type { AnyFact, BodyOf } from '../../src/chart/registry.ts'
import { shiftSpanAt } from '../../src/shift/index.ts'
import type { Ledger } from '../../src/store/ledger.ts'
import { QID_ALBUTEROL, TestWriter } from './facts.ts'
import { HERE } from './test-server.ts'

const PATIENTS = ['p0', 'p1', 'p2', 'p3', 'p4'] as const
export const UNITS = ['EAST', 'WEST', 'NORTH'] as const
const HOUR_MS = 3_600_000

const patient = fc.constantFrom(...PATIENTS)
const unit = fc.constantFrom(...UNITS)
const number = fc.nat({ max: 3 })

/** Something that happens in a hospital, as data. */
const HAPPENING = fc.oneof(
  fc.record({ what: fc.constant('admitted' as const), patient, unit: fc.option(unit) }),
  fc.record({ what: fc.constant('moved' as const), patient, unit }),
  fc.record({ what: fc.constant('discharged' as const), patient }),
  fc.record({ what: fc.constant('ordered' as const), patient, finding: fc.boolean() }),
  fc.record({ what: fc.constant('stopped' as const), patient }),
  fc.record({ what: fc.constant('opened' as const), patient, number }),
  fc.record({ what: fc.constant('not given' as const), patient, number }),
  fc.record({ what: fc.constant('away' as const), patient }),
  fc.record({ what: fc.constant('pinned' as const), patient, next: fc.boolean() }),
  fc.record({ what: fc.constant('assigned' as const), units: fc.array(unit, { maxLength: 2 }) }),
  fc.record({ what: fc.constant('composed' as const), patient, number }),
  fc.record({
    what: fc.constant('answered' as const),
    number,
    outcome: fc.constantFrom('taken' as const, 'refused' as const),
  }),
  fc.record({ what: fc.constant('received' as const), number, problem: fc.boolean() }),
  fc.record({
    what: fc.constant('settled' as const),
    number,
    of: fc.constantFrom('message:in', 'outgoing:m', 'finding:o-p'),
  }),
  fc.record({ what: fc.constant('handed over' as const) }),
)
export type Happening = (typeof HAPPENING)['generate'] extends (...words: never) => { value: infer Value }
  ? Value
  : never

/** A request of the tablet, into which something may happen after some of the server's reads; or something by itself; or time. */
export type Scene =
  | { readonly kind: 'asks'; readonly during: { readonly read: number; readonly what: Happening } | null }
  | { readonly kind: 'happens'; readonly happening: Happening }
  | { readonly kind: 'later'; readonly hours: number }
  | { readonly kind: 'keeps'; readonly patient: string; readonly still: boolean }

const asks = fc.record({
  kind: fc.constant('asks' as const),
  during: fc.option(fc.record({ read: fc.nat({ max: 6 }), what: HAPPENING })),
})
const happens = fc.record({ kind: fc.constant('happens' as const), happening: HAPPENING })
export const SCENES: fc.Arbitrary<Scene[]> = fc.array(
  fc.oneof(
    { weight: 6, arbitrary: asks },
    { weight: 6, arbitrary: happens },
    {
      weight: 1,
      arbitrary: fc.record({
        kind: fc.constant('later' as const),
        hours: fc.constantFrom(0.1, 5, 13, 40, 73, 46 * 24),
      }),
    },
    {
      weight: 1,
      arbitrary: fc.record({ kind: fc.constant('keeps' as const), patient, still: fc.boolean() }),
    },
  ),
  { minLength: 30, maxLength: 120 },
)

/** Writes what happens into a ledger, by a clock. */
export class Hospital {
  readonly #ledger: Ledger
  readonly #nowMs: () => number
  readonly #writer: TestWriter
  #count = 0

  constructor(ledger: Ledger, nowMs: () => number, seed = 1) {
    this.#ledger = ledger
    this.#nowMs = nowMs
    this.#writer = new TestWriter(new Date(nowMs()).toISOString(), seed)
  }

  async store(...facts: readonly AnyFact[]): Promise<void> {
    const receivedAt = new Date(this.#nowMs()).toISOString()
    await this.#ledger.append(HERE, { facts, receivedAt, deviceAheadMs: 0 })
  }

  /** Of two facts, the later was written at a later instant. */
  write: TestWriter['write'] = (...words) => {
    this.#writer.at = new Date(Math.max(this.#nowMs(), Date.parse(this.#writer.at) + 1)).toISOString()
    return this.#writer.write(...words)
  }

  happens(happening: Happening): Promise<void> {
    return this.store(this.#fact(happening))
  }

  census(patientId: string, event: BodyOf<'census-updated'>['event'], unit: string | null = null): AnyFact {
    const place = unit === null ? {} : { place: { unit, room: '1', bed: 'A' } }
    const patch = event === 'admitted' ? { mrn: `R-${patientId}`, ...place } : place
    return this.write('census-updated', { patientId }, { event, patch })
  }

  #fact(happening: Happening): AnyFact {
    const { what } = happening
    const [now, to] = [0, 8].map((hours) => new Date(this.#nowMs() + hours * HOUR_MS).toISOString())
    if (now === undefined || to === undefined) throw new Error('there is no time')
    switch (what) {
      case 'admitted':
      case 'moved':
        return this.census(happening.patient, what, happening.unit)
      case 'discharged':
        return this.census(happening.patient, what)
      case 'away':
        return this.write('patient-away', { patientId: happening.patient }, { reason: 'imaging' })
      case 'assigned':
        return this.write('shift-assigned', { personId: 'amsel' }, { from: now, to, units: happening.units })
      case 'handed over': {
        this.#count += 1
        const body = { units: ['EAST'], from: now, to, text: 'All quiet.', printedName: 'A' }
        return this.write('handover-written', { handoverId: `h${this.#count}` }, body)
      }
      case 'pinned':
        return this.#pinned(happening.patient, happening.next ? to : now)
      case 'ordered':
      case 'stopped':
      case 'opened':
      case 'not given':
        return this.#aboutOrder(happening, now)
      case 'composed':
      case 'answered':
      case 'received':
      case 'settled':
        return this.#aboutMessage(happening)
    }
  }

  #pinned(patientId: string, at: string): AnyFact {
    const { shiftId } = shiftSpanAt(at, SITE.defaults)
    const doses = [{ orderId: `o-${patientId}`, doseAt: at, callId: null }]
    const body = { visit: `${patientId}-1`, doses, personId: 'amsel', startAt: null, why: '' }
    return this.write('visit-pinned', { shiftId, patientId }, body)
  }

  #aboutOrder(
    happening: Extract<Happening, { what: 'ordered' | 'stopped' | 'opened' | 'not given' }>,
    now: string,
  ): AnyFact {
    const about = { patientId: happening.patient, orderId: `o-${happening.patient}` }
    switch (happening.what) {
      case 'ordered':
        if (happening.finding) return this.write('order-reviewed', about, REVIEW)
        return this.write('order-placed', about, {
          order: { ...QID_ALBUTEROL, startAt: now },
          channel: 'hand',
        })
      case 'stopped':
        return this.write('order-discontinued', about, { effectiveAt: now, reason: null })
      case 'opened':
        return this.write(
          'visit-opened',
          { ...about, visitId: `v-${happening.patient}-${happening.number}` },
          { doseAt: null },
        )
      case 'not given':
        return this.write(
          'dose-not-given',
          { ...about, visitId: `v-${happening.patient}-${happening.number}` },
          { doseAt: null, reason: 'declined by patient', note: '', next: 'next dose as due', told: '' },
        )
    }
  }

  #aboutMessage(
    happening: Extract<Happening, { what: 'composed' | 'answered' | 'received' | 'settled' }>,
  ): AnyFact {
    const { number } = happening
    switch (happening.what) {
      case 'composed': {
        const { patient: patientId } = happening
        const about = { messageId: `m${number}`, patientId, orderId: `o-${patientId}` }
        return this.write('message-composed', about, {
          destination: 'pharmacy',
          number: number + 1,
          type: 'RAS^O17',
          action: 'A',
          subject: `v-${number}`,
          covers: [],
          controlId: `m${number}`,
          text: 'MSH',
          problem: null,
        })
      }
      case 'answered': {
        const { outcome } = happening
        const body = { destination: 'pharmacy', outcome, answer: null, why: '', tries: 1 }
        return this.write('message-answered', { messageId: `m${number}` }, body)
      }
      case 'received':
        return this.received(`in${number}`, happening.problem)
      case 'settled': {
        const item = happening.of === 'finding:o-p' ? `finding:o-p${number}:dose` : `${happening.of}${number}`
        return this.write('item-settled', {}, { item, how: 'answered', note: 'seen to' })
      }
    }
  }

  received(messageId: string, hasProblem: boolean, raw = 'MSH'): AnyFact {
    return this.write(
      'message-received',
      { messageId },
      {
        channel: 'hl7v2',
        raw,
        encoding: 'text',
        key: null,
        type: 'ADT^A01',
        sender: null,
        answer: { code: 'AA', text: '' },
        problems: hasProblem ? [{ where: 'PV1-3', code: 'missing', what: 'names no unit' }] : [],
        made: [],
      },
    )
  }
}

const REVIEW: BodyOf<'order-reviewed'> = {
  reviewsFact: 'x',
  findings: [
    {
      code: 'dose',
      severity: 'stop',
      what: 'A dose like no other.',
      why: 'It was not found.',
      sources: [],
      whoMustAnswer: 'prescriber',
    },
  ],
  formularyVersion: '1',
}

/** The ledger, into which something is put before one of its reads. */
export class Disturbed {
  readonly ledger: Ledger
  #before: { left: number; readonly act: () => Promise<void> } | null = null

  constructor(real: Ledger) {
    this.ledger = new Proxy(real, {
      get: (target, name) => {
        const found: unknown = Reflect.get(target, name, target)
        if (typeof found !== 'function') return found
        const method = found.bind(target)
        if (!READS.has(String(name))) return method
        return async (...words: unknown[]) => {
          await this.#turn()
          return method(...words)
        }
      },
    })
  }

  /** Before so many more reads something is done; gives whether it was. */
  async during(reads: number, act: () => Promise<void>, what: () => Promise<void>): Promise<void> {
    this.#before = { left: reads, act }
    await what()
    // Fewer reads were made: it happens after the last.
    const still = this.#before
    this.#before = null
    if (still) await still.act()
  }

  async #turn(): Promise<void> {
    const before = this.#before
    if (!before) return
    before.left -= 1
    if (before.left >= 0) return
    this.#before = null
    await before.act()
  }
}

const READS = new Set([
  'hashAt',
  'last',
  'after',
  'livePatients',
  'headsAfter',
  'at',
  'settledOf',
  'aboutAny',
  'underAny',
  'numbersOfNobody',
  'unsettledMessages',
  'lastBefore',
])
