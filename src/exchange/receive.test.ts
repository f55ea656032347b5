import { readdirSync, readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { doorFor, feedWriter } from '../../test/support/door.ts'
import { Chart } from '../chart/folds/chart.ts'
import { orderStatusAt, termsAt } from '../chart/folds/order.ts'
import { settleItems } from '../chart/folds/settle.ts'
import { idOfNumber } from '../chart/ids.ts'
import { readFact } from '../chart/registry.ts'
import expectedFile from './hl7/test-data/expected.json' with { type: 'json' }
import type { Door, Received } from './receive.ts'

const FOLDER = 'src/exchange/hl7/test-data'
const NOW = '2026-03-11T23:00:00.000Z'
type Expected = {
  ack?: string | null
  type?: string
  patient?: Record<string, string>
  location?: { unit: string; room: string; bed: string }
  allergies?: string[]
  weightKg?: number
  isolation?: string
  dischargeTime?: string
  orders?: Record<string, unknown>[]
  administrations?: Record<string, unknown>[]
  observations?: number | unknown[][]
  error?: { code: string; segment?: string; field?: number; fields?: number[] }
}
const EXPECTED = expectedFile as unknown as Record<string, Expected>
const FILES = readdirSync(FOLDER)
  .filter((name) => name.endsWith('.hl7'))
  .sort()

const aDoor = (seed = 42) => doorFor(feedWriter(seed, () => Date.parse(NOW)))

const text = (name: string) => readFileSync(`${FOLDER}/${name}`, 'utf8')
const patientId = (mrn: string) => idOfNumber('patient', 'marrowby', mrn)
const orderId = (placer: string) => idOfNumber('order', 'marrowby', placer)

/** Brings in every file in order, as a feed would, and gives what each became. */
function wholeFolder(): { chart: Chart; received: ReadonlyMap<string, Received>; door: Door } {
  const chart = new Chart()
  const door = aDoor()
  const received = new Map<string, Received>()
  for (const name of FILES) {
    const [one, ...more] = door.receive('hl7v2', text(name), chart)
    if (!one || more.length > 0) throw new Error(`${name} is not one message`)
    chart.add(one.facts)
    received.set(name, one)
  }
  return { chart, received, door }
}

const { chart, received, door } = wholeFolder()
const answerOf = (name: string) => {
  const found = received.get(name)?.answer
  if (!found) throw new Error(`nothing came of ${name}`)
  return found
}

describe('sample messages in HL7 v2.5.1 (chapters 2, 3, 4 and 7; table 0357 for errors)', () => {
  it('are all there, and every one is told what must come of it', () => {
    expect(FILES).toHaveLength(24)
    expect(FILES.filter((name) => !(name in EXPECTED))).toEqual([])
  })
  it.each(FILES.filter((name) => EXPECTED[name]?.ack !== undefined))(
    '%s gets the expected answer',
    (name) => {
      expect(answerOf(name).code).toBe(EXPECTED[name]?.ack)
      const { error } = EXPECTED[name] ?? {}
      if (!error) return
      const fields = error.fields ?? (error.field === undefined ? [] : [error.field])
      const problems = answerOf(name).problems
      expect(new Set(problems.map(({ code }) => code))).toEqual(new Set([error.code]))
      for (const field of fields)
        expect(problems.map(({ where }) => where)).toContain(`${error.segment}-${field}`)
      if (EXPECTED[name]?.ack !== null)
        expect(answerOf(name).text).toMatch(new RegExp(`^ERR\\|.*\\|${error.code}\\^`, 'm'))
    },
  )
  it.each(FILES)('%s is kept whole, and every fact made of it can be read back', (name) => {
    const facts = received.get(name)?.facts ?? []
    const kept = facts.find((fact) => fact.kind === 'message-received')
    expect(kept?.kind === 'message-received' && kept.body.raw.replace(/\r+$/, '')).toBe(
      text(name).replace(/\r+$/, ''),
    )
    expect(facts.map((fact) => readFact(JSON.parse(JSON.stringify(fact))).ok)).not.toContain(false)
  })
  it('makes nothing at all of a message that is refused or cannot be answered', () => {
    const bad = FILES.filter((name) => name.startsWith('bad-'))
    expect(bad).toHaveLength(8)
    expect(bad.flatMap((name) => answerOf(name).made)).toEqual([])
  })
  it('answers no acknowledgment', () => {
    expect(['15-ack-aa.hl7', '16-ack-ae-err.hl7'].map((name) => answerOf(name).text)).toEqual([null, null])
  })
})

describe('what the census says', () => {
  const made = (name: string) => {
    const fact = received.get(name)?.facts.find(({ kind }) => kind === 'census-updated')
    if (fact?.kind !== 'census-updated') throw new Error(`no census in ${name}`)
    return fact
  }
  it('admits with identifiers, place, weight, isolation and allergies', () => {
    const expected = EXPECTED['01-adt-a01-admit.hl7']
    const { patch, event } = made('01-adt-a01-admit.hl7').body
    expect(event).toBe('admitted')
    expect(patch).toMatchObject({
      mrn: expected?.patient?.mrn,
      family: expected?.patient?.family,
      given: expected?.patient?.given,
      dob: expected?.patient?.dob,
      sex: 'female',
      visitNumber: expected?.patient?.visit,
      place: expected?.location,
      weightKg: expected?.weightKg,
      isolation: [expected?.isolation],
    })
    expect(patch.allergies?.map(({ code }) => code)).toEqual(expected?.allergies)
    expect(patch.allergies?.[1]?.reaction).toBe('Bronchospasm, Hypotension')
    expect(patch.identifiers?.map(({ value }) => value)).toContain(expected?.patient?.wristbandGsrn)
  })
  it('moves, updates by its own delimiters, and discharges', () => {
    expect(made('02-adt-a02-transfer.hl7').body.patch.place).toEqual(
      EXPECTED['02-adt-a02-transfer.hl7']?.location,
    )
    expect(made('14-adt-custom-delimiters.hl7').body.patch.place).toEqual(
      EXPECTED['14-adt-custom-delimiters.hl7']?.location,
    )
    expect(made('14-adt-custom-delimiters.hl7').body.patch.family).toBe('Okonjo-Vale')
    const discharged = EXPECTED['04-adt-a03-discharge.hl7']?.dischargeTime ?? ''
    expect(made('04-adt-a03-discharge.hl7').body.patch.dischargedAt).toBe(new Date(discharged).toISOString())
  })
  it('does not lose what an update does not speak of', () => {
    expect(chart.patient(patientId('MB004417'))).toMatchObject({ weightKg: 71.4, isolation: ['DRP'] })
    expect(chart.patient(patientId('MB004417')).allergies).toHaveLength(2)
  })
})

describe('what the orders say', () => {
  it('takes dose, frequency, start and end with their offsets', () => {
    const order = chart.order(orderId('P55001'))
    if (!order) throw new Error('no order')
    const first = order.terms[0]?.order
    expect(first).toMatchObject({
      filler: 'F90017',
      startAt: '2026-03-10T12:00:00.000Z',
      endAt: '2026-03-13T12:00:00.000Z',
      route: 'Inhalation',
      prn: null,
    })
    expect(first?.medicines).toMatchObject([
      { medicineId: 'albuterol', code: 'MED0101', amountMin: 2.5, amountMax: null, unit: 'mg' },
    ])
    expect(first?.frequency).toMatchObject({ code: 'QID', timesPerDay: 4, standardTimes: true })
    expect(first?.prescriber).toEqual({ id: '8801', name: 'Ines Harrowgate' })
  })
  it('changes to a range and another frequency from the stated time on, and keeps what was before', () => {
    const order = chart.order(orderId('P55001'))
    if (!order) throw new Error('no order')
    expect(termsAt(order, '2026-03-11T23:59:59.999Z').frequency?.code).toBe('QID')
    expect(termsAt(order, '2026-03-12T00:00:00.000Z')).toMatchObject({
      medicines: [{ amountMin: 1.25, amountMax: 2.5 }],
      frequency: { code: 'BID' },
    })
  })
  it('takes two orders from one message: a mixture with its parts, and an as-needed one with gap and reason', () => {
    const mixture = chart.order(orderId('P55002'))?.terms[0]?.order
    const parts = EXPECTED['06-rde-two-orders-mix-prn.hl7']?.orders?.[0]?.components
    expect(
      mixture?.medicines.map(({ part, code, amountMin, unit }) => [
        part === 'diluent' ? 'B' : 'A',
        code,
        amountMin,
        unit,
      ]),
    ).toEqual(parts)
    expect(mixture?.frequency).toMatchObject({ code: 'Q4H', everyMinutes: 240, standardTimes: true })
    const asNeeded = chart.order(orderId('P55003'))?.terms[0]?.order
    expect(asNeeded?.prn).toEqual({ reason: 'wheeze or SpO2 below target', minimumGapMinutes: 120 })
  })
  it('takes stated times, and a patient whom the census has not spoken of', () => {
    const order = chart.order(orderId('P55010'))?.terms[0]?.order
    expect(order?.frequency).toMatchObject({
      code: 'TID',
      statedTimes: ['06:00', '14:00', '22:00'],
      standardTimes: false,
    })
    expect(order?.instruction).toBe('Rinse mouth after use')
    expect(chart.patient(patientId('MB004502'))).toMatchObject({ given: 'Elio', dob: '2018-06-30' })
  })
  it('holds and stops at the stated times', () => {
    const [held, stopped] = [chart.order(orderId('P55002')), chart.order(orderId('P55003'))]
    if (!held || !stopped) throw new Error('no orders')
    expect(orderStatusAt(held, NOW)).toBe('on hold')
    expect(held.holds[0]?.reason).toBe('Heart rate')
    const at = new Date('2026-03-11T22:00:00-05:00').toISOString()
    expect(stopped.discontinued?.at).toBe(at)
    expect(orderStatusAt(stopped, at)).toBe('discontinued')
  })
  it('undoes escapes once, after splitting', () => {
    const fact = received.get('13-rde-escapes.hl7')?.facts.find(({ kind }) => kind === 'order-placed')
    if (fact?.kind !== 'order-placed') throw new Error('no order')
    expect(fact.body.order.medicines[0]?.text).toBe('sodium chloride 3 % (hypertonic) | 4 mL ~ inhaled')
    expect(fact.body.order.instruction).toBe('Line one\nLine two \\ end AB')
    expect(chart.patient(patientId('MB004560'))).toMatchObject({ family: 'O&Neil-Fitch', given: 'Tam^sin' })
  })
  it('reads the older quantity and timing field as well', () => {
    const older = text('05-rde-new-qid.hl7')
      .replace(/TQ1\|[^\r]*\r/, '')
      .replace('P55001', 'P7')
      .replace('MB20001', 'MB70001')
      .replace('RXE||', 'RXE|1^Q6H&0600,1200^^20260310070000-0500^20260313070000-0500^R|')
    const [one] = aDoor().receive('hl7v2', older, new Chart())
    const fact = one?.facts.find(({ kind }) => kind === 'order-placed')
    expect(fact?.kind === 'order-placed' && fact.body.order).toMatchObject({
      frequency: { code: 'Q6H', statedTimes: ['06:00', '12:00'] },
      startAt: '2026-03-10T12:00:00.000Z',
      endAt: '2026-03-13T12:00:00.000Z',
    })
  })
})

describe('what other systems charted', () => {
  const outside = (name: string) => {
    const fact = received.get(name)?.facts.find(({ kind }) => kind === 'outside-record-received')
    if (fact?.kind !== 'outside-record-received') throw new Error(`nothing outside in ${name}`)
    return fact.body
  }
  it('keeps what was given with lot, expiry, start and end', () => {
    expect(outside('10-ras-given.hl7').administrations).toMatchObject([
      {
        status: 'CP',
        startedAt: '2026-03-10T12:06:00.000Z',
        endedAt: '2026-03-10T12:14:00.000Z',
        lot: 'L7A042',
        expiry: '2027-03-31',
        by: '7310',
      },
    ])
    expect(outside('10-ras-given.hl7').observations).toHaveLength(3)
  })
  it('keeps a refusal as amount zero with its reason', () => {
    expect(outside('11-ras-refused.hl7').administrations).toMatchObject([
      { status: 'RE', amount: 0, reason: 'PTREF' },
    ])
  })
  it('keeps several sounds, and never turns a result that could not be had into a zero', () => {
    const values = outside('12-oru-r01-bedside.hl7').observations.map(
      ({ code, value, said, unit, flag, status }) =>
        status === 'X'
          ? [code, value, 'X']
          : [
              code,
              said.length > 0 ? said : value,
              ...(unit ? [unit] : []),
              ...(flag && flag !== 'N' ? [flag] : []),
            ],
    )
    expect(values).toEqual(EXPECTED['12-oru-r01-bedside.hl7']?.observations)
  })
})

describe('messages that come again', () => {
  it('change nothing, and get their first answer', () => {
    const before = [...chart.facts()].length
    for (let round = 0; round < 2; round += 1) {
      for (const name of FILES) {
        const [again] = door.receive('hl7v2', text(name), chart)
        expect(again?.facts).toEqual([])
        expect(again?.answer).toMatchObject({
          replayed: true,
          code: answerOf(name).code,
          text: answerOf(name).text,
        })
        chart.add(again?.facts ?? [])
      }
    }
    expect([...chart.facts()]).toHaveLength(before)
  })
  it('are told apart from one another inside one file', () => {
    const both = `${text('01-adt-a01-admit.hl7')}${text('02-adt-a02-transfer.hl7')}${text('01-adt-a01-admit.hl7')}`
    const answers = aDoor()
      .receive('hl7v2', both, new Chart())
      .map(({ answer }) => [answer.code, answer.replayed])
    expect(answers).toEqual([
      ['AA', false],
      ['AA', false],
      ['AA', true],
    ])
  })
  it('are listed under Settle when they could not be used', () => {
    const open = settleItems(chart, NOW).filter(({ kind }) => kind === 'message')
    expect(open.filter(({ raw }) => raw !== undefined)).toHaveLength(8)
  })
})

describe('a hold of an order that has not arrived', () => {
  it('is kept, told, and counts when the order comes', () => {
    const late = new Chart()
    const late_door = aDoor()
    const [hold] = late_door.receive('hl7v2', text('09-rde-hold-and-discontinue.hl7'), late)
    expect(hold?.answer.code).toBe('AA')
    expect(hold?.answer.problems.map(({ code }) => code)).toEqual(['204', '204'])
    late.add(hold?.facts ?? [])
    late.add(
      late_door.receive('hl7v2', text('06-rde-two-orders-mix-prn.hl7'), late).flatMap(({ facts }) => facts),
    )
    const order = late.order(orderId('P55002'))
    expect(order && orderStatusAt(order, NOW)).toBe('on hold')
  })
})

describe('an order list', () => {
  const HEADER =
    'record_number,order_number,medicine_code,amount,unit,frequency,start,end,as_needed_for,not_closer_than_minutes,indication,prescriber'
  const list = (...rows: string[]) => `${[HEADER, ...rows].join('\n')}\n`
  it('makes orders of its good rows and names row and column of the others', () => {
    const [one] = aDoor().receive(
      'csv',
      list(
        'MB004417,L1,MED0101,2.5,mg,Q4H,2026-03-12 07:00,,,,wheeze,Dr. H',
        'MB004417,L2,MED0101,two,mg,Q4X,,,,,,',
        'NOBODY,L3,MED0101,2.5,mg,QID,,,,,,',
      ),
      chart,
    )
    expect(one?.facts.filter(({ kind }) => kind === 'order-placed')).toHaveLength(1)
    expect(one?.answer.problems.map(({ where, code }) => `${where} ${code}`)).toEqual([
      'row 3, amount 102',
      'row 3, frequency 103',
      'row 4, record_number 204',
    ])
  })
  it('refuses another header as a whole', () => {
    const [one] = aDoor().receive('csv', 'patient,dose\n1,2\n', chart)
    expect(one?.answer).toMatchObject({ code: 'AE', made: [], problems: [{ where: 'header' }] })
  })
  it('changes nothing when it comes again', () => {
    const again = new Chart().add(chart.facts())
    const one_door = aDoor(77)
    const text_of = list('MB004417,L9,MED0101,2.5,mg,QID,,,,,wheeze,Dr. H')
    again.add(one_door.receive('csv', text_of, again).flatMap(({ facts }) => facts))
    expect(one_door.receive('csv', text_of, again)[0]).toMatchObject({
      facts: [],
      answer: { replayed: true },
    })
  })
})
