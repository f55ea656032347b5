import { beforeAll, describe, expect, it } from 'vitest'
import { DEMO_NOW, demoChart, RULES, reviewingDoor } from '../../../test/support/demo-chart.ts'
import { seededIds } from '../../../test/support/facts.ts'
import { Chart } from '../../chart/folds/chart.ts'
import { dueDoses } from '../../chart/folds/doses.ts'
import { orderStatusAt, termsAt } from '../../chart/folds/order.ts'
import { settleItems } from '../../chart/folds/settle.ts'
import { readFact } from '../../chart/registry.ts'
import type { Received } from '../receive.ts'
import { writeCollections } from './record.ts'
import type { Bundle } from './resources.ts'

const HOUR_MS = 3_600_000
const later = (hours: number) => new Date(Date.parse(DEMO_NOW) + hours * HOUR_MS).toISOString()
const doorOf = (facility: string, seed: number) => {
  const nowMs = () => Date.parse(DEMO_NOW)
  return reviewingDoor(facility, nowMs, seededIds(seed, nowMs).randomBytes)
}
/** Brings in one bundle after the other, each seeing what the ones before it became. */
function take(facility: string, seed: number, bundles: readonly Bundle[], chart: Chart): Received[] {
  const door = doorOf(facility, seed)
  const seen = new Chart().add(chart.facts())
  return bundles.map((bundle) => {
    const [received] = door.receive('fhir', JSON.stringify(bundle), seen)
    if (!received) throw new Error('not answered')
    seen.add(received.facts)
    return received
  })
}

let here: Chart
let there: Chart
let bundles: readonly Bundle[]
let received: readonly Received[]
beforeAll(async () => {
  here = await demoChart('marrowby')
  const context = { chart: here, facility: 'marrowby', now: DEMO_NOW, rules: RULES }
  bundles = writeCollections(context, 'https://marrowby.example/fhir')
  received = take('eastholm', 5, bundles, new Chart())
  there = new Chart().add(received.flatMap(({ facts }) => facts))
}, 60_000)

/** Orders are known by their numbers: each hospital makes ids of its own from them. */
const placerOf = (chart: Chart, orderId: string) => {
  const order = chart.order(orderId)
  return order ? termsAt(order, DEMO_NOW).placer : '?'
}

describe('a record, written as a bundle and read into an empty hospital', () => {
  it('is taken whole, and every fact of it can be read back', () => {
    expect(received.flatMap(({ answer }) => answer.problems)).toEqual([])
    expect(new Set(received.map(({ answer }) => answer.code))).toEqual(new Set(['AA']))
    expect([...there.facts()].filter((fact) => !readFact(fact).ok)).toEqual([])
  })

  it('knows the same patients in the same places', () => {
    const known = (chart: Chart) =>
      chart
        .patients()
        .map(({ patientId: _, away: _away, conditions: _conditions, ...patient }) => ({
          ...patient,
          identifiers: patient.identifiers.length,
          // What stands in no resource: bedside facts of the census, and that no allergy is known.
          isolation: null,
          oxygen: null,
          target: null,
          airway: null,
          allergies: (patient.allergies ?? []).map(({ code, text }) => `${code} ${text}`),
        }))
        .sort((a, b) => ((a.mrn ?? '') < (b.mrn ?? '') ? -1 : 1))
    expect(known(there)).toEqual(known(here))
    expect(known(there).length).toBeGreaterThan(20)
  })

  it('holds the same orders on the same terms, held and stopped alike', () => {
    const orders = (chart: Chart) =>
      chart
        .orders()
        .map((order) => ({ ...termsAt(order, DEMO_NOW), status: orderStatusAt(order, DEMO_NOW) }))
        .sort((a, b) => (a.placer < b.placer ? -1 : 1))
    expect(orders(there)).toEqual(orders(here))
    const statuses = new Set(orders(there).map(({ status }) => status))
    expect(statuses.has('on hold')).toBe(true)
  })

  it('has the same doses due, at the same times and in the same windows', () => {
    const due = (chart: Chart) =>
      dueDoses(chart, RULES, DEMO_NOW, later(48))
        .map(({ orderId, doseAt, kind, window }) => ({
          placer: placerOf(chart, orderId),
          doseAt,
          kind,
          window,
        }))
        .sort((a, b) => (a.doseAt + a.placer < b.doseAt + b.placer ? -1 : 1))
    expect(due(there)).toEqual(due(here))
    expect(due(there).length).toBeGreaterThan(100)
  })

  it('has the same doses given and not given, with their amounts and reasons', () => {
    const told = there.facts()
    const got = [...told]
      .flatMap((fact) =>
        fact.kind === 'outside-record-received'
          ? fact.body.administrations.map((each) => ({ fact, each }))
          : [],
      )
      .map(({ fact, each }) => [
        placerOf(there, fact.about.orderId ?? ''),
        each.code,
        each.status === 'RE' || each.status === 'NA' ? each.reason : each.amount,
        each.startedAt,
        each.endedAt,
      ])
    const acting = (orderId: string, at: string) => {
      const order = here.order(orderId)
      const terms = order && termsAt(order, at)
      return (terms?.medicines ?? []).flatMap(({ part, code, medicineId }) =>
        part === 'medicine' ? [{ placer: terms?.placer, code, medicineId }] : [],
      )
    }
    const left = [...here.facts()].flatMap((fact) => {
      if (fact.kind !== 'dose-not-given') return []
      const { happenedAt: at, body, about } = fact
      return acting(about.orderId ?? '', body.doseAt ?? at).map(({ placer, code }) => [
        placer,
        code,
        body.reason,
        at,
        at,
      ])
    })
    const given = here.visits().flatMap(({ orderId, doseAt, opened, note, ended, run }) => {
      if (!note || note.needsCosign || !ended) return []
      return acting(orderId, doseAt ?? opened.at).map(({ placer, code, medicineId }) => {
        const one = ended.body.given.find((each) => each.medicineId === medicineId)
        const amount = ended.body.how === 'finished' ? one?.nominal : one?.outOfCup
        return [placer, code, amount ?? null, run.startedAt, run.endedAt]
      })
    })
    const want = [...left, ...given]
    const sorted = (rows: readonly unknown[][]) => rows.map((row) => JSON.stringify(row)).sort()
    expect(sorted(got)).toEqual(sorted(want))
    expect(left.length).toBeGreaterThan(20)
    expect(given.length).toBeGreaterThan(50)
  })

  it('makes nothing more when it comes again, in the same bundle or in another', () => {
    for (const [at, again] of take('eastholm', 6, bundles, there).entries()) {
      expect(again.facts).toEqual([])
      expect(again.answer).toMatchObject({ replayed: true, text: received[at]?.answer.text })
    }
    const others = bundles.map((bundle) => ({ ...bundle, timestamp: later(1) }))
    for (const other of take('eastholm', 7, others, there)) {
      expect(other.facts.map(({ kind }) => kind)).toEqual(['message-received'])
      expect(other.answer.made).toEqual([])
    }
  })

  it('makes nothing in the hospital that wrote it: its own treatments do not count twice', () => {
    for (const back of take('marrowby', 8, bundles, here)) {
      expect(back.facts.map(({ kind }) => kind)).toEqual(['message-received'])
      expect(back.answer.problems).toEqual([])
    }
  })

  it('leaves nothing open under Settle but what the orders themselves ask', () => {
    expect(settleItems(there, DEMO_NOW).filter(({ kind }) => kind !== 'finding')).toEqual([])
  })
})
