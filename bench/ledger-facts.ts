import { createHash } from 'node:crypto'
import { GENESIS_HASH, nextEntry } from '../src/chart/chain.ts'
import { factText } from '../src/chart/fact.ts'
import { type AnyFact, readFact } from '../src/chart/registry.ts'
import type { LedgerRow } from '../src/store/schema.ts'
import { QID_ALBUTEROL, TestWriter } from '../test/support/facts.ts'
import { HERE } from './ledger-measure.ts'

const MINUTE_MS = 60_000
/** How many patients are in the house at a time, on how many units, and treatments each: a large hospital. */
export const [BEDS, UNITS, VISITS] = [480, 16, 8] as const
export const unitName = (unit: number) => `UNIT${unit + 1}`

/** Templates of the facts of one stay, in their order; `{…}` is filled in. */
function templates(): readonly AnyFact[] {
  const writer = new TestWriter('2000-01-01T00:00:00.000Z')
  const patient = { patientId: '{p}' }
  const order = { ...patient, orderId: '{p}-o' }
  const visit = { ...order, visitId: '{p}-v{v}' }
  const patch = {
    mrn: '{p}',
    family: 'Quell',
    given: 'Ansgar',
    dob: '1961-04-05',
    place: { unit: '{u}', room: '12', bed: 'A' },
  }
  const measured = (when: 'before' | 'after') =>
    writer.write('measured', visit, {
      when,
      values: { heartRatePerMin: 88, spo2Percent: 93, respiratoryRatePerMin: 22 },
      notMeasured: [],
      confirmedOdd: [],
    })
  const medicine = { medicineId: 'albuterol', text: 'albuterol', nominal: 2.5, outOfCup: 1.75, unit: 'mg' }
  return [
    writer.write('census-updated', patient, { event: 'admitted', patch }),
    writer.write('order-placed', order, { order: QID_ALBUTEROL, channel: 'hl7v2' }),
    ...[
      writer.write('visit-opened', visit, { doseAt: null }),
      measured('before'),
      writer.write('treatment-started', visit, { alongside: [] }),
      writer.write('treatment-ended', visit, {
        how: 'finished',
        leftMl: null,
        given: [medicine],
        told: '',
        next: '',
      }),
      measured('after'),
    ],
    writer.write('census-updated', patient, { event: 'discharged', patch: {} }),
  ]
}

/** Facts of one stay. */
export const FACTS_A_STAY = 2 + VISITS * 5 + 1

type Template = { readonly kind: string; readonly text: string; readonly about: AnyFact['about'] }

/**
 * Entries of a hospital's years, as many as asked for, in the order in which they were received, each tied to the one
 * before: stays that overlap, so that the last ones are still going on. Real facts; their hashes verify.
 */
export function* stays(count: number, endMs: number): Generator<LedgerRow> {
  const made = templates()
  const known: readonly Template[] = made.map((fact) => ({
    kind: fact.kind,
    about: fact.about,
    text: templateText(fact),
  }))
  const [first, order, ...rest] = known
  const last = known.at(-1)
  if (!first || !order || !last) throw new Error('there are no templates')
  const script = [first, order, ...Array.from({ length: VISITS }, () => rest.slice(0, 5)).flat(), last]
  const beds = Array.from({ length: BEDS }, (_, bed) => ({
    stay: bed,
    at: Math.floor((bed * script.length) / BEDS),
  }))
  let [next, previous] = [BEDS, GENESIS_HASH]
  const startMs = endMs - count * MINUTE_MS * STEP_MINUTES
  for (let sequence = 1; sequence <= count; sequence += 1) {
    const place = beds[sequence % BEDS]
    if (!place) throw new Error('there is no such bed')
    if (place.at >= script.length) {
      place.stay = next
      place.at = 0
      next += 1
    }
    const template = script[place.at]
    if (!template) throw new Error('the script is over')
    const at = new Date(startMs + sequence * MINUTE_MS * STEP_MINUTES).toISOString()
    const unit = unitName((sequence % BEDS) % UNITS)
    const visit = Math.floor((place.at - 2) / 5)
    const row = entryOf(template, { sequence, previous, at, patient: `pt-${place.stay}`, visit, unit })
    previous = row.hash
    place.at += 1
    yield row
  }
}

/** A fact every so many minutes in the whole hospital, so that five million are about a year and a half. */
const STEP_MINUTES = 0.15

const ID = '00000000-0000-7000-8000-000000000000'

function templateText(fact: AnyFact): string {
  const text = factText({ ...fact, id: ID })
  if (!readFact(JSON.parse(text)).ok) throw new Error(`the template of ${fact.kind} cannot be read`)
  return text.replaceAll('2000-01-01T00:00:00.000Z', '{t}')
}

type Filling = {
  readonly sequence: number
  readonly previous: string
  readonly at: string
  readonly patient: string
  readonly visit: number
  readonly unit: string
}

function entryOf({ kind, text, about }: Template, filling: Filling): LedgerRow {
  const { sequence, previous, at, patient, visit, unit } = filling
  const fill = (given: string) =>
    given
      .replaceAll('{p}', patient)
      .replaceAll('{v}', String(visit))
      .replaceAll('{u}', unit)
      .replaceAll('{t}', at)
  const id = `00000000-${sequence.toString(16).padStart(12, '0').slice(0, 4)}-7000-8000-${sequence.toString(16).padStart(12, '0')}`
  const said = { sequence, factId: id, receivedAt: at, text: fill(text).replace(ID, id) }
  return {
    facility: HERE,
    sequence,
    fact_id: id,
    kind,
    patient_id: fill(about.patientId ?? ''),
    order_id: about.orderId === undefined ? null : fill(about.orderId),
    visit_id: about.visitId === undefined ? null : fill(about.visitId),
    person_id: 'amsel',
    happened_at: at,
    received_at: at,
    device_ahead_ms: null,
    text: said.text,
    previous_hash: previous,
    hash: hashOf(said, previous),
  }
}

/** The ledger's own hash, by the faster library of the platform; the first ones are held against the ledger's. */
function hashOf(
  {
    sequence,
    factId,
    receivedAt,
    text,
  }: { sequence: number; factId: string; receivedAt: string; text: string },
  previousHash: string,
): string {
  const canonical = `{"deviceAheadMs":null,"facility":"${HERE}","factId":"${factId}","previousHash":"${previousHash}","receivedAt":"${receivedAt}","sequence":${sequence},"text":${JSON.stringify(text)}}`
  const hash = createHash('sha256').update(canonical).digest('hex')
  if (sequence > 20) return hash
  const last = sequence === 1 ? null : { sequence: sequence - 1, hash: previousHash }
  const own = nextEntry(last, { facility: HERE, factId, receivedAt, deviceAheadMs: null, text })
  if (own.hash !== hash) throw new Error('the bench hashes otherwise than the ledger')
  return hash
}
