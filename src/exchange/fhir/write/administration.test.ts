import { describe, expect, it } from 'vitest'
import { preparedBody } from '../../../../test/support/charted-visit.ts'
import { RULES } from '../../../../test/support/demo-chart.ts'
import { QID_ALBUTEROL, TestWriter } from '../../../../test/support/facts.ts'
import { foundByOthers } from '../../../../test/support/fhir-validators.ts'
import { Chart } from '../../../chart/folds/chart.ts'
import type { AnyFact, BodyOf } from '../../../chart/registry.ts'
import { checkResource } from '../check-resource.ts'
import { FhirRecord } from '../record.ts'
import type {
  DetectedIssue,
  MedicationAdministration,
  Observation,
  OwnResource,
  Provenance,
  Task,
} from '../resources.ts'

const NOW = '2026-03-10T20:00:00.000Z'
const DUE = '2026-03-10T16:00:00.000Z'
const ABOUT = { patientId: 'p1', orderId: 'o1', visitId: 'v1' }
const GIVEN: BodyOf<'treatment-ended'>['given'] = [
  { medicineId: 'albuterol', text: 'albuterol', nominal: 2.5, outOfCup: 1.5, unit: 'mg' },
]
const SIGNATURE = { printedName: 'A. Amsel', contentHash: 'a'.repeat(64), covers: [] }

/** One dose at a bedside, charted act by act. */
class Bedside {
  readonly facts: AnyFact[] = []
  readonly #writer = new TestWriter('2026-03-09T12:00:00.000Z', 11)
  constructor() {
    const patch = { mrn: 'M1', family: 'Okonjo', given: 'Tam', weightKg: 70 }
    this.add('census-updated', { patientId: 'p1' }, { event: 'admitted', patch })
    this.add('order-placed', { patientId: 'p1', orderId: 'o1' }, { order: QID_ALBUTEROL, channel: 'hl7v2' })
  }
  at(time: string): this {
    this.#writer.at = `2026-03-10T${time}:00.000Z`
    return this
  }
  add(...fact: Parameters<TestWriter['write']>): AnyFact {
    const written = this.#writer.write(...fact)
    this.facts.push(written)
    return written
  }
  opened(): this {
    this.add('visit-opened', ABOUT, { doseAt: DUE })
    this.add('prepared', ABOUT, preparedBody(3))
    return this
  }
  started(): this {
    this.add('treatment-started', ABOUT, { alongside: [] })
    return this
  }
  ended(how: 'finished' | 'stopped', given = GIVEN): AnyFact {
    return this.add('treatment-ended', ABOUT, { how, leftMl: null, given, told: '', next: '' })
  }
  signed(meaning: BodyOf<'note-signed'>['meaning'] = 'gave'): this {
    this.add('note-signed', ABOUT, { composed: 'x', text: 'x', meaning, ...SIGNATURE })
    return this
  }
  strike(fact: AnyFact, reason = 'wrong patient'): this {
    this.add('entry-struck', ABOUT, { reason }, { corrects: fact.id })
    return this
  }
  all<Type extends OwnResource>(
    type: 'MedicationAdministration' | 'Observation' | 'Provenance' | 'Task' | 'DetectedIssue',
  ): readonly Type[] {
    const context = { chart: new Chart().add(this.facts), facility: 'larkmere', now: NOW, rules: RULES }
    const found = new FhirRecord(context).all(type)
    for (const each of found) {
      expect(checkResource(each)).toEqual([])
      expect(foundByOthers(each)).toEqual([])
    }
    return found as readonly Type[]
  }
  administration() {
    const [one, ...more] = this.all<MedicationAdministration>('MedicationAdministration')
    expect(more).toEqual([])
    return one
  }
  task() {
    return this.all<Task>('Task').find(({ id }) => id?.endsWith('20260310T160000000Z'))
  }
}

describe('a dose as a MedicationAdministration', () => {
  it('is none while nothing was given, and is under way from the start until the note is signed', () => {
    const bedside = new Bedside().at('16:00').opened()
    expect(bedside.administration()).toBeUndefined()
    expect(bedside.task()).toMatchObject({ status: 'accepted' })
    bedside.at('16:05').started()
    expect(bedside.administration()).toMatchObject({
      status: 'in-progress',
      effectivePeriod: { start: '2026-03-10T16:05:00.000Z' },
    })
    bedside.at('16:08').add('treatment-paused', ABOUT, { reason: 'cough' })
    expect(bedside.administration()).toMatchObject({ status: 'on-hold' })
    bedside.at('16:15').ended('finished')
    expect(bedside.administration()).toMatchObject({
      status: 'in-progress',
      note: [{ text: 'The note is not signed yet.' }],
    })
  })

  it('is completed with the whole dose, and its task with it', () => {
    const bedside = new Bedside().at('16:00').opened().at('16:05').started()
    bedside.at('16:15').ended('finished')
    bedside.at('16:20').signed()
    expect(bedside.administration()).toMatchObject({
      id: 'v1.1',
      status: 'completed',
      medicationCodeableConcept: { coding: [{ code: 'MED0101' }] },
      effectivePeriod: { start: '2026-03-10T16:05:00.000Z', end: '2026-03-10T16:15:00.000Z' },
      dosage: { dose: { value: 2.5, unit: 'mg', code: 'mg' } },
      performer: [{ actor: { display: 'A. Amsel' } }],
    })
    expect(bedside.task()).toMatchObject({
      status: 'completed',
      output: [{ valueReference: { reference: 'MedicationAdministration/v1.1' } }],
    })
  })

  it('that was stopped tells what came out of the cup, or nothing where that is not known', () => {
    const stopped = (given: typeof GIVEN) => {
      const bedside = new Bedside().at('16:00').opened().at('16:05').started()
      bedside.at('16:10').ended('stopped', given)
      return bedside.at('16:20').signed().administration()
    }
    expect(stopped(GIVEN)).toMatchObject({
      status: 'stopped',
      dosage: { dose: { value: 1.5 }, extension: [{ valueQuantity: { value: 2.5 } }] },
    })
    const unknown = stopped(GIVEN.map((each) => ({ ...each, outOfCup: null })))
    expect(unknown?.dosage).toBeUndefined()
    expect(unknown?.note?.at(-1)?.text).toBe('Of 2.5 mg some was given; how much is not known.')
  })

  const NOT_GIVEN = {
    doseAt: DUE,
    reason: 'declined by patient',
    note: 'asleep',
    next: 'next dose as due',
    told: '',
  } as const

  it('that was not given says why, with a visit or without', () => {
    for (const about of [ABOUT, { patientId: 'p1', orderId: 'o1' }]) {
      const bedside = new Bedside().at('16:00')
      if ('visitId' in about) bedside.opened()
      bedside.at('16:02').add('dose-not-given', about, NOT_GIVEN)
      const told = bedside.administration()
      expect(told).toMatchObject({
        status: 'not-done',
        statusReason: [{ text: 'declined by patient' }],
        effectiveDateTime: '2026-03-10T16:02:00.000Z',
      })
      expect(told?.dosage).toBeUndefined()
      expect(bedside.task()).toMatchObject({ status: 'rejected' })
    }
  })

  it('that was charted by mistake keeps its id and is entered in error, with who struck it and why', () => {
    const bedside = new Bedside().at('16:00').opened().at('16:05').started()
    const end = bedside.at('16:15').ended('finished')
    bedside.at('16:20').signed().at('17:00').strike(end)
    expect(bedside.administration()).toMatchObject({
      id: 'v1.1',
      status: 'entered-in-error',
      statusReason: [{ text: 'wrong patient' }],
      dosage: { dose: { value: 2.5 } },
    })
    const alone = new Bedside().at('16:02')
    const fact = alone.add('dose-not-given', { patientId: 'p1', orderId: 'o1' }, NOT_GIVEN)
    alone.add(
      'entry-struck',
      { patientId: 'p1', orderId: 'o1', visitId: 'none' },
      { reason: 'was given' },
      { corrects: fact.id },
    )
    expect(alone.administration()).toMatchObject({
      status: 'entered-in-error',
      statusReason: [{ text: 'was given' }],
    })
  })
})

describe('measurements as Observations', () => {
  it('keep their ids when they are put right, and say what no more stands', () => {
    const bedside = new Bedside().at('16:00').opened()
    const values = { heartRatePerMin: 84, respiratoryRatePerMin: 22, peakFlowLPerMin: [200, 210] }
    const first = bedside.add('measured', ABOUT, {
      when: 'before',
      values,
      notMeasured: [{ measure: 'spo2', why: 'equipment not at hand' }],
      confirmedOdd: [],
    })
    const told = () =>
      new Map(bedside.all<Observation>('Observation').map((each) => [each.id?.split('.')[1], each]))
    expect(told().get('heartRate')).toMatchObject({
      status: 'final',
      valueQuantity: { value: 84, code: '/min' },
    })
    expect(told().get('peakFlow')).toMatchObject({
      valueQuantity: { value: 210, code: 'L/min' },
      note: [{ text: 'The best of 200, 210 L/min' }],
    })
    expect(told().get('spo2')).toMatchObject({ dataAbsentReason: { text: 'equipment not at hand' } })
    expect(told().get('weightKg')).toMatchObject({ valueQuantity: { value: 70, code: 'kg' } })
    bedside.at('16:30').add(
      'measured',
      ABOUT,
      {
        when: 'before',
        values: { heartRatePerMin: 94, peakFlowLPerMin: [200] },
        notMeasured: [],
        confirmedOdd: [],
      },
      { corrects: first.id },
    )
    expect(told().get('heartRate')).toMatchObject({
      id: `${first.id}.heartRate`,
      status: 'corrected',
      valueQuantity: { value: 94 },
    })
    expect(told().get('respiratoryRate')).toMatchObject({
      id: `${first.id}.respiratoryRate`,
      status: 'entered-in-error',
      valueQuantity: { value: 22 },
      meta: { lastUpdated: '2026-03-10T16:30:00.000Z' },
    })
  })

  it('that were struck are entered in error', () => {
    const bedside = new Bedside().at('16:00').opened()
    const values = {
      heartRatePerMin: 84,
      spo2Percent: 91,
      spo2On: { device: 'nasal cannula', flowLPerMin: 2 } as const,
    }
    const first = bedside.add('measured', ABOUT, {
      when: 'before',
      values,
      notMeasured: [],
      confirmedOdd: [],
    })
    const [rate, saturation] = bedside
      .all<Observation>('Observation')
      .filter(({ id }) => id?.startsWith(first.id))
    expect([rate?.status, saturation?.component?.map(({ code }) => code.text)]).toEqual([
      'final',
      ['Oxygen flow', 'Oxygen device'],
    ])
    bedside.at('16:30').strike(first)
    const statuses = bedside
      .all<Observation>('Observation')
      .filter(({ id }) => id?.startsWith(first.id))
      .map(({ status }) => status)
    expect(statuses).toEqual(['entered-in-error', 'entered-in-error'])
  })
})

describe('signatures and cautions', () => {
  it('are told with who, when and what it meant', () => {
    const bedside = new Bedside().at('16:00').opened()
    bedside.add('door-checked', ABOUT, {
      orderActive: true,
      minutesSinceLastDose: null,
      findings: [
        { code: 'too-soon', what: 'The last dose was an hour ago', answer: 'prescriber asked: go ahead' },
      ],
      precautions: [],
      putOn: [],
      equipment: [],
    })
    bedside.at('16:05').started()
    bedside.at('16:15').ended('finished')
    bedside.at('16:20').signed()
    bedside.at('16:40').add('note-corrected', ABOUT, { text: 'y', reason: 'wrong flow', ...SIGNATURE })
    const provenance = bedside.all<Provenance>('Provenance')
    expect(
      provenance.map(({ activity, recorded, reason, target }) => [
        activity?.coding?.[0]?.code,
        activity?.text,
        recorded,
        reason?.[0]?.text,
        target[0]?.reference,
      ]),
    ).toEqual([
      ['CREATE', 'signed: gave', '2026-03-10T16:20:00.000Z', undefined, 'MedicationAdministration/v1.1'],
      [
        'UPDATE',
        'corrected the note',
        '2026-03-10T16:40:00.000Z',
        'wrong flow',
        'MedicationAdministration/v1.1',
      ],
    ])
    expect(provenance[0]?.signature?.[0]?.who.display).toBe('A. Amsel')
    expect(bedside.all<DetectedIssue>('DetectedIssue')).toMatchObject([
      {
        status: 'final',
        severity: 'moderate',
        code: { text: 'The last dose was an hour ago' },
        mitigation: [{ action: { text: 'prescriber asked: go ahead' } }],
      },
    ])
  })
})
