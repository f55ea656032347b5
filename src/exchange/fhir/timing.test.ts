import { readFileSync } from 'node:fs'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { RULES } from '../../../test/support/demo-chart.ts'
import { QID_ALBUTEROL, TestWriter } from '../../../test/support/facts.ts'
import { foundByOthers } from '../../../test/support/fhir-validators.ts'
import { MEDICINE_CODES } from '../../chart/documents/medicine-codes.ts'
import { OrderBody } from '../../chart/facts/orders.ts'
import { Chart } from '../../chart/folds/chart.ts'
import { readFrequencyCode } from '../../chart/timing/frequency-code.ts'
import { checkResource } from './check-resource.ts'
import { SYSTEM } from './codes.ts'
import { EntryReader } from './read/entry-reader.ts'
import { readRequest } from './read/read-request.ts'
import type { MedicationRequest, TimingRepeat } from './resources.ts'
import { writeAsNeeded, writeTiming } from './timing.ts'
import { writeRequest } from './write/order.ts'

type Row = {
  readonly order: string
  readonly gts: string | null
  readonly repeat: TimingRepeat | null
  readonly asNeeded?: boolean
}
const ROWS: readonly Row[] = JSON.parse(
  readFileSync('src/exchange/fhir/test-data/frequencies.json', 'utf8'),
).rows

const frequencyOf = (code: string) => {
  const found = readFrequencyCode(code)
  if (!found) throw new Error(`no frequency ${code}`)
  return found
}

describe('how often', () => {
  it.each(ROWS)('$order is written as FHIR has it', ({ order, gts, repeat, asNeeded = false }) => {
    const frequency = frequencyOf(order)
    const prn = asNeeded ? { reason: null, minimumGapMinutes: frequency.everyMinutes ?? null } : null
    const terms = { frequency, startAt: null, endAt: null, prn }
    const timing = writeTiming(terms)
    // Three doses in all are an end, which the order has as an instant.
    const { count, ...rest } = repeat ?? {}
    expect(timing.repeat ?? {}).toEqual(order === 'Q20MIN' ? rest : (repeat ?? {}))
    expect(count === undefined || order === 'Q20MIN' || timing.repeat?.count === count).toBe(true)
    const written = timing.code?.coding?.find(({ system }) => system === SYSTEM.gts)?.code ?? null
    expect(written).toBe(gts)
    expect(writeAsNeeded(terms).asNeededBoolean).toBe(asNeeded)
  })
})

const NOW = '2026-03-10T12:00:00.000Z'
const written = (order: OrderBody): MedicationRequest => {
  const writer = new TestWriter(NOW)
  const chart = new Chart().add([
    writer.write('order-placed', { patientId: 'p', orderId: 'o' }, { order, channel: 'hand' }),
  ])
  const state = chart.order('o')
  if (!state) throw new Error('no order')
  return writeRequest({ chart, facility: 'larkmere', now: NOW, rules: RULES }, state)
}
const readBack = (request: MedicationRequest) => {
  const reader = new EntryReader('MedicationRequest')
  const medicationOf = () => (request.contained?.[0] as never) ?? null
  const codes = MEDICINE_CODES.defaults
  const read = readRequest(reader, request, { timeZone: 'America/Chicago', codes, medicationOf })
  return { order: read?.order, problems: reader.problems }
}

const text = fc.stringMatching(/^[A-Za-z][A-Za-z0-9 ,.%-]{0,30}[a-z]$/)
const medicine = fc.record({
  code: fc.constantFrom('MED0101', 'MED0102', 'MED0104'),
  text: fc.constantFrom('albuterol', 'ipratropium bromide', 'budesonide 0.5 mg in 2 mL'),
  amountMin: fc.integer({ min: 1, max: 5000 }).map((value) => value / 100),
  isRange: fc.boolean(),
  unit: fc.constantFrom('mg', 'mL', 'mcg', 'units'),
})
const CODES = [
  'QD',
  'BID',
  'TID',
  'QID',
  '5ID',
  'QAM',
  'QPM',
  'QHS',
  'QOD',
  'Q1H',
  'Q4H',
  'Q6H',
  'Q12H',
  'Q24H',
  'Q20MIN',
  'Q90M',
  'Q2D',
  'Q1W',
  'ONCE',
  'STAT',
  'C',
  'PRN',
  'PRNQ4H',
  'Q6HPRN',
  'PRNQID',
]
const order: fc.Arbitrary<OrderBody> = fc
  .record({
    medicines: fc.array(medicine, { minLength: 1, maxLength: 3 }),
    code: fc.constantFrom(...CODES),
    stated: fc.boolean(),
    isPlain: fc.boolean(),
    priority: fc.constantFrom('routine' as const, 'asap' as const, 'stat' as const),
    startAt: fc.constantFrom(null, '2026-03-10T11:30:00.000Z'),
    endAt: fc.constantFrom(null, '2026-03-13T11:30:00.000Z'),
    reason: fc.option(text),
    gap: fc.constantFrom(null, 30, 240),
    awake: fc.boolean(),
    words: fc.record({
      filler: fc.option(text),
      group: fc.option(text),
      route: fc.constantFrom('Inhalation', 'inhalation', 'by mask'),
      device: fc.option(text),
      method: fc.option(text),
      indication: fc.option(text),
      instruction: fc.option(text),
    }),
    title: text,
    prescriber: fc.option(fc.record({ id: text, name: text })),
  })
  .map(
    ({
      medicines,
      code,
      stated,
      isPlain,
      priority,
      startAt,
      endAt,
      reason,
      gap,
      awake,
      words,
      title,
      prescriber,
    }) => {
      const asRead = frequencyOf(code)
      const isPrn = code.includes('PRN')
      const hasTimes = stated && asRead.timesPerDay === 2
      const frequency = {
        ...asRead,
        ...(awake && asRead.everyMinutes !== undefined && { whileAwake: true }),
        ...(hasTimes && { statedTimes: ['07:00', '19:00'], standardTimes: false }),
        ...(isPlain && asRead.everyMinutes !== undefined && { standardTimes: false }),
      }
      const parts = medicines.map(({ amountMin, isRange, ...rest }, at) => ({
        ...rest,
        medicineId: MEDICINE_CODES.defaults.codes.find((each) => each.code === rest.code)?.medicineId ?? null,
        amountMin,
        amountMax: isRange ? amountMin * 2 : null,
        part: at === 2 ? ('diluent' as const) : ('medicine' as const),
      }))
      return {
        ...QID_ALBUTEROL,
        ...words,
        title,
        medicines: parts,
        frequency,
        priority: frequency.stat ? ('stat' as const) : priority,
        startAt,
        endAt,
        prescriber,
        prn: isPrn ? { reason, minimumGapMinutes: gap ?? frequency.everyMinutes ?? null } : null,
      }
    },
  )

describe('any order', () => {
  it('written as a MedicationRequest and read again is the same order', () => {
    fc.assert(
      fc.property(order, (body) => {
        expect(OrderBody.safeParse(body).success).toBe(true)
        const request = written(body)
        expect(checkResource(request)).toEqual([])
        expect(readBack(request)).toEqual({ order: body, problems: [] })
      }),
      { numRuns: 400 },
    )
  })

  it('is right by two programs of others', () => {
    for (const body of fc.sample(order, { numRuns: 40, seed: 7 }))
      expect(foundByOthers(written(body))).toEqual([])
  })
})
