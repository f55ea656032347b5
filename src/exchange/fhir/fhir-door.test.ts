import { readdirSync, readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { doorFor, feedWriter } from '../../../test/support/door.ts'
import { foundByOthers } from '../../../test/support/fhir-validators.ts'
import { Chart } from '../../chart/folds/chart.ts'
import { orderStatusAt, termsAt } from '../../chart/folds/order.ts'
import { settleItems } from '../../chart/folds/settle.ts'
import { idOfNumber } from '../../chart/ids.ts'
import { readFact } from '../../chart/registry.ts'
import type { Received } from '../receive.ts'

const NOW = '2026-03-10T20:00:00.000Z'
const DATA = 'src/exchange/fhir/test-data'
const read = (name: string) => JSON.parse(readFileSync(`${DATA}/${name}`, 'utf8'))
// biome-ignore lint/suspicious/noExplicitAny: samples are taken apart and spoiled freely
type Any = any

/** A hospital that takes one bundle after the other. */
class Hospital {
  readonly chart = new Chart()
  #now = Date.parse(NOW)
  readonly #door = doorFor(feedWriter(3, () => this.#now))

  take(bundle: object | string): Received {
    const text = typeof bundle === 'string' ? bundle : JSON.stringify(bundle)
    const [received] = this.#door.receive('fhir', text, this.chart)
    if (!received) throw new Error('not answered')
    for (const fact of received.facts) expect(readFact(fact).ok).toBe(true)
    this.chart.add(received.facts)
    this.#now += 60_000
    return received
  }

  order(placer: string) {
    return this.chart.order(idOfNumber('order', 'marrowby', placer))
  }
  patient() {
    return this.chart.patient(idOfNumber('patient', 'marrowby', 'MB004417'))
  }
}

const answerOf = ({ answer }: Received): Any => JSON.parse(answer.text ?? '{}')
const sample = (): Any => read('nebulized-treatment.bundle.json')
const resourceOf = (bundle: Any, id: string): Any =>
  bundle.entry.find((entry: Any) => entry.resource.id === id).resource
/** What could not be used; what was only kept stands beside it as information. */
const problemsOf = ({ answer }: Received) =>
  answer.problems.filter(({ code }) => code !== 'informational').map(({ where, code }) => `${code} ${where}`)

describe('a bundle of a nebulized treatment', () => {
  it('becomes a patient, an order, and what another system charted', () => {
    const hospital = new Hospital()
    const received = hospital.take(sample())
    expect(received.answer).toMatchObject({ code: 'AA', type: 'Bundle transaction', replayed: false })
    expect(received.facts.map(({ kind }) => kind)).toEqual([
      'message-received',
      'census-updated',
      'order-placed',
      'order-reviewed',
      'outside-record-received',
      'outside-record-received',
      'outside-record-received',
      'outside-record-received',
      'outside-record-received',
      'outside-record-received',
      'outside-record-received',
    ])
    expect(hospital.patient()).toMatchObject({
      mrn: 'MB004417',
      family: 'Okonjo-Vale',
      given: 'Tamsin',
      dob: '1958-02-14',
      sex: 'female',
      dischargedAt: null,
    })
    const order = hospital.order('P55001')
    expect(order && termsAt(order, NOW)).toEqual({
      placer: 'P55001',
      filler: null,
      group: null,
      title: 'albuterol 2.5 mg in 3 mL inhalation solution',
      medicines: [
        {
          medicineId: 'albuterol',
          code: 'MED0101',
          text: 'albuterol 2.5 mg in 3 mL inhalation solution',
          amountMin: 2.5,
          amountMax: null,
          unit: 'mg',
          part: 'medicine',
        },
      ],
      route: 'Inhalation',
      device: null,
      method: 'NB',
      frequency: { code: 'QID', timesPerDay: 4, standardTimes: true },
      priority: 'routine',
      startAt: '2026-03-10T12:00:00.000Z',
      endAt: '2026-03-13T12:00:00.000Z',
      prn: null,
      indication: null,
      prescriber: null,
      instruction: '2.5 mg by nebulizer four times a day',
    })
    const told = [...hospital.chart.facts()].flatMap((fact) =>
      fact.kind === 'outside-record-received' ? [fact] : [],
    )
    expect(told.flatMap(({ body }) => body.administrations)).toMatchObject([
      {
        status: 'CP',
        amount: 2.5,
        unit: 'mg',
        startedAt: '2026-03-10T12:06:00.000Z',
        endedAt: '2026-03-10T12:14:00.000Z',
      },
      { status: 'RE', amount: 0, reason: 'patient declined' },
    ])
    expect(
      told.flatMap(({ body }) => body.observations).map(({ code, value, unit }) => [code, value, unit]),
    ).toEqual([
      ['8867-4', 88, '/min'],
      ['8867-4', 97, '/min'],
      ['9279-1', 22, '/min'],
      ['2708-6', 95, '%'],
      ['3151-8', 2, 'L/min'],
      ['72072-2', null, null],
    ])
    expect(told.filter(({ about }) => about.orderId !== undefined)).toHaveLength(2)
  })

  it('is answered with one answer an entry, which two programs of others find right', () => {
    const answer = answerOf(new Hospital().take(sample()))
    expect(answer).toMatchObject({ resourceType: 'Bundle', type: 'transaction-response' })
    expect(answer.entry).toHaveLength(sample().entry.length)
    expect(foundByOthers(answer)).toEqual([])
    expect(answer.entry[0].response).toMatchObject({
      status: '201 Created',
      location: `Patient/${idOfNumber('patient', 'marrowby', 'MB004417')}`,
    })
  })

  it('shows under Settle what was kept and not interpreted: a place in words, an adverse event', () => {
    const hospital = new Hospital()
    hospital.take(sample())
    const [item, ...more] = settleItems(hospital.chart, NOW)
    expect(more).toEqual([])
    expect(item?.kind).toBe('message')
    expect(item?.what).toContain('4EAST room 412 bed A')
    expect(item?.what).toContain('AdverseEvent')
    expect(item?.raw).toBe(JSON.stringify(sample()))
  })

  it('that comes again gets its first answer again, and makes nothing', () => {
    const hospital = new Hospital()
    const first = hospital.take(sample())
    const again = hospital.take(sample())
    expect(again.facts).toEqual([])
    expect(again.answer).toMatchObject({ replayed: true, code: 'AA', text: first.answer.text })
  })

  it('is one by its identifier: another under the same is kept and not used', () => {
    const hospital = new Hospital()
    const named = { ...sample(), identifier: { system: 'urn:example:bundles', value: '17' } }
    hospital.take(named)
    const other = structuredClone(named)
    resourceOf(other, 'pt-sample').name[0].given = ['Somebody']
    const received = hospital.take(other)
    expect(problemsOf(received)).toEqual(['duplicate Bundle.identifier'])
    expect(received.facts.map(({ kind }) => kind)).toEqual(['message-received'])
    expect(hospital.take(other).answer).toMatchObject({ replayed: true, code: 'AE' })
    expect(hospital.patient().given).toBe('Tamsin')
  })
})

describe('spoiled', () => {
  const CASES: readonly Any[] = read('spoiled.json').cases
  const spoiled = (each: Any) => {
    const bundle = sample()
    for (const { op, path, value } of each.ops) {
      const steps = path.split('/').slice(1)
      const last = steps.pop()
      const at = steps.reduce((inner: Any, step: string) => inner[step], resourceOf(bundle, each.base))
      if (op === 'set') at[last] = value
      else delete at[last]
    }
    return bundle
  }

  it.each(CASES)('$name: of a transaction nothing is made, and the reason is told', (each) => {
    const hospital = new Hospital()
    const received = hospital.take(spoiled(each))
    expect(received.answer.code).toBe('AE')
    expect(received.facts.map(({ kind }) => kind)).toEqual(['message-received'])
    const answer = answerOf(received)
    expect(answer.resourceType).toBe('OperationOutcome')
    expect(foundByOthers(answer)).toEqual([])
    expect(answer.issue.some(({ severity }: Any) => severity === 'error')).toBe(true)
    expect(settleItems(hospital.chart, NOW)).toHaveLength(1)
  })

  it.each(CASES)('$name: of a batch all else is used', (each) => {
    const hospital = new Hospital()
    const received = hospital.take({ ...spoiled(each), type: 'batch' })
    expect(received.answer.code).toBe('AE')
    const statuses = answerOf(received).entry.map(({ response }: Any) => response.status.slice(0, 3))
    expect(statuses.filter((status: string) => status === '422')).toHaveLength(1)
    expect(hospital.patient().mrn).toBe('MB004417')
    expect(hospital.order('P55001') === null).toBe(each.base === 'order-sample')
  })
})

describe('an order that changes', () => {
  const withOrder = (change: (order: Any) => void) => {
    const bundle = sample()
    change(resourceOf(bundle, 'order-sample'))
    return bundle
  }
  const kindsOf = ({ facts }: Received) => facts.map(({ kind }) => kind).slice(1)

  it('is changed, held, released and stopped, each once', () => {
    const hospital = new Hospital()
    hospital.take(sample())
    const changed = withOrder((order) => {
      order.dosageInstruction[0].timing = {
        ...order.dosageInstruction[0].timing,
        repeat: { frequency: 1, period: 6, periodUnit: 'h' },
        code: {
          coding: [{ system: 'http://terminology.hl7.org/CodeSystem/v3-GTSAbbreviation', code: 'Q6H' }],
        },
      }
    })
    expect(kindsOf(hospital.take(changed))).toEqual(['order-changed', 'order-reviewed'])
    const held = structuredClone(changed)
    resourceOf(held, 'order-sample').status = 'on-hold'
    expect(kindsOf(hospital.take(held))).toEqual(['order-held'])
    const order = () => hospital.order('P55001') as NonNullable<ReturnType<Hospital['order']>>
    expect(orderStatusAt(order(), '2026-03-10T21:00:00.000Z')).toBe('on hold')
    expect(kindsOf(hospital.take({ ...changed, type: 'batch' }))).toEqual(['order-released'])
    const stopped = structuredClone(changed)
    resourceOf(stopped, 'order-sample').status = 'stopped'
    resourceOf(stopped, 'order-sample').statusReason = { text: 'no wheeze' }
    expect(kindsOf(hospital.take(stopped))).toEqual(['order-discontinued'])
    expect(order().discontinued?.reason).toBe('no wheeze')
    expect(termsAt(order(), '2026-03-10T21:00:00.000Z').frequency).toEqual({
      code: 'Q6H',
      everyMinutes: 360,
      standardTimes: true,
    })
    const again = hospital.take({ ...changed, timestamp: NOW })
    expect(problemsOf(again)).toEqual(['business-rule Bundle.entry[3].resource MedicationRequest.status'])
  })

  it('is never taken from one patient to another', () => {
    const hospital = new Hospital()
    hospital.take(sample())
    const other = sample()
    resourceOf(other, 'pt-sample').identifier[0].value = 'MB009999'
    expect(problemsOf(hospital.take(other))).toEqual([
      'business-rule Bundle.entry[3].resource MedicationRequest.identifier',
    ])
  })

  const REFUSED: readonly (readonly [string, (order: Any) => void])[] = [
    [
      'QID beside every six hours',
      (order) =>
        Object.assign(order.dosageInstruction[0].timing.repeat, { frequency: 1, period: 6, periodUnit: 'h' }),
    ],
    [
      'days of the week',
      (order) => Object.assign(order.dosageInstruction[0].timing.repeat, { dayOfWeek: ['mon'] }),
    ],
    [
      'a range of frequencies',
      (order) => Object.assign(order.dosageInstruction[0].timing.repeat, { frequencyMax: 6 }),
    ],
    ['before a meal', (order) => Object.assign(order.dosageInstruction[0].timing.repeat, { when: ['AC'] })],
    [
      'minutes that must be hours',
      (order) =>
        Object.assign(order.dosageInstruction[0].timing, {
          code: { text: 'Q4M' },
          repeat: { frequency: 1, period: 4, periodUnit: 'min' },
        }),
    ],
    [
      'an abbreviation that is not known',
      (order) =>
        Object.assign(order.dosageInstruction[0].timing, {
          repeat: undefined,
          code: { text: 'when the moon is full' },
        }),
    ],
    ['no amount', (order) => delete order.dosageInstruction[0].doseAndRate],
    [
      'an amount below zero',
      (order) => Object.assign(order.dosageInstruction[0].doseAndRate[0].doseQuantity, { value: -2.5 }),
    ],
    [
      'at most an amount',
      (order) => Object.assign(order.dosageInstruction[0].doseAndRate[0].doseQuantity, { comparator: '<' }),
    ],
    [
      'a unit that is one thing in words and another as a code',
      (order) => Object.assign(order.dosageInstruction[0].doseAndRate[0].doseQuantity, { unit: 'g' }),
    ],
    ['two dosages', (order) => order.dosageInstruction.push(order.dosageInstruction[0])],
    [
      'a highest dose a day',
      (order) =>
        Object.assign(order.dosageInstruction[0], {
          maxDosePerPeriod: { numerator: { value: 10 }, denominator: { value: 1 } },
        }),
    ],
    ['not to be given', (order) => Object.assign(order, { doNotPerform: true })],
    ['a proposal', (order) => Object.assign(order, { intent: 'proposal' })],
    ['a draft', (order) => Object.assign(order, { status: 'draft' })],
    ['no number', (order) => delete order.identifier],
    ['several numbers', (order) => order.identifier.push({ value: 'X' })],
    [
      'a modifier that is not known',
      (order) => Object.assign(order, { modifierExtension: [{ url: 'urn:x', valueBoolean: true }] }),
    ],
    ['no route', (order) => delete order.dosageInstruction[0].route],
    [
      'completed with no end',
      (order) => {
        order.status = 'completed'
        delete order.dosageInstruction[0].timing.repeat.boundsPeriod.end
      },
    ],
    [
      'a patient that nobody knows',
      (order) => Object.assign(order, { subject: { reference: 'Patient/somebody' } }),
    ],
    [
      'a medicine that is not in the bundle',
      (order) => {
        delete order.medicationCodeableConcept
        order.medicationReference = { reference: 'Medication/none' }
      },
    ],
  ]
  it.each(REFUSED)('is refused with a reason: %s', (_what, change) => {
    const hospital = new Hospital()
    const received = hospital.take({ ...withOrder(change), type: 'batch' })
    expect(problemsOf(received).every((problem) => problem.includes('entry[3]'))).toBe(true)
    expect(problemsOf(received)).not.toEqual([])
    expect(hospital.order('P55001')).toBeNull()
  })
})

describe('what is no bundle that is taken here', () => {
  const NOT_TAKEN: readonly (readonly [string, string])[] = [
    ['nothing', ''],
    ['no JSON', '{"resourceType":"Bundle",'],
    ['another resource', '{"resourceType":"Patient","id":"x"}'],
    ['a list', '[]'],
    ['an empty bundle', '{"resourceType":"Bundle","type":"batch"}'],
    [
      'a document',
      '{"resourceType":"Bundle","type":"document","entry":[{"resource":{"resourceType":"Patient","id":"x"}}]}',
    ],
    ['a name that stands twice', '{"resourceType":"Bundle","type":"batch","type":"transaction","entry":[]}'],
    [
      'nested without end',
      `{"resourceType":"Bundle","type":"batch","entry":${'['.repeat(5000)}${']'.repeat(5000)}}`,
    ],
  ]
  it.each(NOT_TAKEN)('%s', (_what, text) => {
    const hospital = new Hospital()
    const received = hospital.take(text)
    expect(received.answer).toMatchObject({ code: 'AR', made: [] })
    expect(answerOf(received).resourceType).toBe('OperationOutcome')
    expect(received.facts[0]).toMatchObject({
      kind: 'message-received',
      body: { raw: text, channel: 'fhir' },
    })
    expect(settleItems(hospital.chart, NOW)).toHaveLength(1)
  })
})

describe('official examples', () => {
  const bundle = (resource: Any) => ({ resourceType: 'Bundle', type: 'collection', entry: [{ resource }] })
  it.each(readdirSync(`${DATA}/official`))('%s is answered, and nothing is guessed', (name) => {
    const resource = read(`official/${name}`)
    const received = new Hospital().take(resource.resourceType === 'Bundle' ? resource : bundle(resource))
    expect(received.answer.code).toMatch(/^A[AE]$/)
    expect(foundByOthers(answerOf(received))).toEqual([])
    // None of these patients is known here, and what concerns no known patient makes nothing.
    expect(received.answer.made).toEqual([])
  })

  it('the inhaler order of a known patient is read, and refused only for what it does not say', () => {
    const hospital = new Hospital()
    hospital.take(sample())
    const order = read('official/MedicationRequest-medrx0326.json')
    order.subject = { reference: `Patient/${hospital.patient().patientId}` }
    expect(hospital.take(bundle(order)).answer.problems).toMatchObject([
      { code: 'required', what: 'the route is missing' },
    ])
    order.dosageInstruction[0].route = { text: 'Inhalation' }
    hospital.take(bundle(order))
    const read326 = hospital.order('12345689')
    expect(read326 && termsAt(read326, NOW)).toMatchObject({
      frequency: { code: 'BID', timesPerDay: 2 },
      medicines: [{ amountMin: 1, unit: 'ea', code: '746763', medicineId: null }],
      instruction: 'Shake Well\nUse two sprays twice daily',
    })
    expect(read326 && orderStatusAt(read326, '2026-03-10T21:00:00.000Z')).toBe('on hold')
  })
})
