import { documentsInForce } from '../../src/chart/documents/documents-in-force.ts'
import type { PatientPatch } from '../../src/chart/facts/census.ts'
import { Chart } from '../../src/chart/folds/chart.ts'
import type { AnyFact, BodyOf } from '../../src/chart/registry.ts'
import { QID_ALBUTEROL, TestWriter } from './facts.ts'

type Order = BodyOf<'order-placed'>['order']

/** A day shift in Chicago in March: from 07:00 to 19:00 on the wall (summer time), 12:00 to midnight in UTC. */
export const DAY = { from: '2026-03-10T12:00:00.000Z', to: '2026-03-11T00:00:00.000Z' }

/** A ward for tests, from real facts: people on shift, patients in beds, orders in force. */
export class Ward {
  readonly writer: TestWriter
  readonly facts: AnyFact[] = []

  constructor(seed = 7) {
    this.writer = new TestWriter('2026-03-10T10:00:00.000Z', seed, { personId: 'mistwright', role: 'system' })
  }

  /** Moves the clock of whoever writes. */
  at(instant: string): this {
    this.writer.at = instant
    return this
  }

  write<K extends AnyFact['kind']>(
    kind: K,
    about: AnyFact['about'],
    body: BodyOf<K>,
  ): Extract<AnyFact, { kind: K }> {
    const fact = this.writer.write(kind, about, body)
    this.facts.push(fact)
    return fact
  }

  therapist(
    personId: string,
    more: {
      signedOffFor?: string[]
      units?: string[]
      from?: string
      to?: string
      beside?: string
      role?: 'learner'
    } = {},
  ): this {
    const { signedOffFor = [], units = [], from = DAY.from, to = DAY.to, beside, role } = more
    this.write(
      'staff-recorded',
      { personId },
      { name: personId, role: role ?? 'therapist', signedOffFor, active: true },
    )
    this.write('shift-assigned', { personId }, { from, to, units, ...(beside !== undefined && { beside }) })
    return this
  }

  patient(patientId: string, unit: string | null, more: Partial<PatientPatch> = {}): this {
    this.write(
      'census-updated',
      { patientId },
      {
        event: 'admitted',
        patch: {
          mrn: `R-${patientId}`,
          family: 'Test',
          given: patientId,
          dob: '1970-05-05',
          weightKg: 70,
          ...(unit !== null && { place: { unit, room: '4', bed: 'A' } }),
          ...more,
        },
      },
    )
    return this
  }

  order(orderId: string, patientId: string, more: Partial<Order> = {}): this {
    this.write(
      'order-placed',
      { patientId, orderId },
      {
        order: { ...QID_ALBUTEROL, placer: orderId, startAt: '2026-03-09T10:00:00.000Z', ...more },
        channel: 'hl7v2',
      },
    )
    return this
  }

  /** A treatment from opening to signature, or less of it: minutes after the opening. */
  visit(
    about: { patientId: string; orderId: string; visitId: string },
    doseAt: string | null,
    personId: string,
    openedAt: string,
    steps: { startedAfter?: number; endedAfter?: number; signedAfter?: number; stopped?: boolean } = {},
  ): this {
    const hand = new TestWriter(openedAt, this.facts.length + 100, { personId, role: 'therapist' })
    const after = (minutes: number) => {
      hand.at = new Date(Date.parse(openedAt) + minutes * 60_000).toISOString()
      return hand
    }
    const keep = (fact: AnyFact) => this.facts.push(fact)
    keep(hand.write('visit-opened', about, { doseAt }))
    keep(
      after(2).write('prepared', about, {
        portions: [
          {
            medicineId: 'albuterol',
            productId: null,
            text: 'albuterol',
            amount: 2.5,
            unit: 'mg',
            volumeMl: 3,
            part: 'medicine',
          },
        ],
        totalMl: 3,
        targetFillMl: 3,
        answered: [],
      }),
    )
    keep(
      after(3).write('set-up-chosen', about, {
        cupId: 'tee-jet',
        interface: 'mouthpiece',
        gas: 'air',
        flowLPerMin: 6,
        reservoirMl: 50,
        position: 'sitting up',
        cannulaStaysOn: false,
        forecast: null,
        againstAdvice: [],
      }),
    )
    const { startedAfter, endedAfter, signedAfter, stopped } = steps
    if (startedAfter !== undefined)
      keep(after(startedAfter).write('treatment-started', about, { alongside: [] }))
    if (endedAfter !== undefined)
      keep(
        after(endedAfter).write('treatment-ended', about, {
          how: stopped ? 'stopped' : 'finished',
          leftMl: stopped ? 1 : null,
          given: [],
          told: stopped ? 'the prescriber' : '',
          next: '',
        }),
      )
    if (signedAfter !== undefined)
      keep(
        after(signedAfter).write('note-signed', about, {
          composed: 'x',
          text: 'x',
          meaning: 'gave',
          printedName: personId,
          contentHash: 'a'.repeat(64),
          covers: [],
        }),
      )
    return this
  }

  chart(): Chart {
    return new Chart().add(this.facts)
  }

  /** What `problemOf` asks for, at an instant. */
  asking(now: string) {
    return { chart: this.chart(), documents: documentsInForce(this.facts, now).documents, now }
  }
}

/** A set-up of a ward with two people and three patients. */
export function smallWard(): Ward {
  return new Ward()
    .therapist('amsel', { signedOffFor: ['intensive care'] })
    .therapist('birke')
    .patient('p1', '4WEST')
    .patient('p2', '3STEP', { isolation: ['CON'] })
    .patient('p3', 'MICU')
    .order('o1', 'p1')
    .order('o2', 'p2')
    .order('o3', 'p3', { frequency: { code: 'Q4H', everyMinutes: 240, standardTimes: true } })
}
