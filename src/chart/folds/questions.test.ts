import { describe, expect, it } from 'vitest'
import { QID_ALBUTEROL, TestWriter } from '../../../test/support/facts.ts'
import type { AnyFact } from '../registry.ts'
import { Chart } from './chart.ts'
import { questions } from './questions.ts'
import { settleItems } from './settle.ts'

const DOSE = '2026-03-10T15:00:00.000Z'
const HASH = 'b'.repeat(64)
const order = { patientId: 'p', orderId: 'o' }

const feed = new TestWriter('2026-03-10T10:00:00.000Z', 11, { personId: 'feed', role: 'system' })
const placed = feed.write('order-placed', order, { order: QID_ALBUTEROL, channel: 'hl7v2' })

function given(visitId: string, personId: string, at: string, seed: number): AnyFact[] {
  const writer = new TestWriter(at, seed, { personId, role: 'therapist' })
  const about = { ...order, visitId }
  return [
    writer.write('visit-opened', about, { doseAt: DOSE }),
    writer.write('treatment-started', about, { alongside: [] }),
  ]
}

function kinds(chart: Chart): string[] {
  return questions(chart).map(({ kind }) => kind)
}

describe('questions that facts raise; both facts are kept', () => {
  it('sees one dose begun by two people, in either order of arrival', () => {
    const first = given('v1', 'amsel', '2026-03-10T15:01:00.000Z', 1)
    const second = given('v2', 'birke', '2026-03-10T15:04:00.000Z', 2)
    for (const facts of [
      [...first, ...second],
      [...second, ...first],
    ]) {
      const chart = new Chart().add([placed, ...facts])
      expect(kinds(chart)).toEqual(['dose given twice'])
      expect(chart.visits()).toHaveLength(2)
    }
  })
  it('asks nothing of one person and one dose', () => {
    expect(kinds(new Chart().add([placed, ...given('v1', 'amsel', '2026-03-10T15:01:00.000Z', 1)]))).toEqual(
      [],
    )
  })
  it('sees a treatment begun after the order was stopped', () => {
    const stop = feed.write('order-discontinued', order, {
      effectiveAt: '2026-03-10T15:00:30.000Z',
      reason: null,
    })
    expect(
      kinds(new Chart().add([placed, stop, ...given('v1', 'amsel', '2026-03-10T15:01:00.000Z', 1)])),
    ).toEqual(['given after stop'])
    const later = feed.write('order-discontinued', order, {
      effectiveAt: '2026-03-10T15:01:30.000Z',
      reason: null,
    })
    expect(
      kinds(new Chart().add([placed, later, ...given('v1', 'amsel', '2026-03-10T15:01:00.000Z', 1)])),
    ).toEqual([])
  })
  it('sees a co-signature that did not know of a correction', () => {
    const facts = given('v1', 'lerner', '2026-03-10T15:01:00.000Z', 1)
    const about = { ...order, visitId: 'v1' }
    const learner = new TestWriter('2026-03-10T15:20:00.000Z', 4, { personId: 'lerner', role: 'learner' })
    const note = { printedName: 'x', contentHash: HASH, covers: [] }
    const signed = learner.write('note-signed', about, { composed: '', text: 'a', meaning: 'gave', ...note })
    learner.at = '2026-03-10T15:25:00.000Z'
    const corrected = learner.write(
      'note-corrected',
      about,
      { text: 'b', reason: 'slip', ...note },
      { corrects: signed.id },
    )
    const second = new TestWriter('2026-03-10T15:30:00.000Z', 6)
    const cosign = (covers: string[]) =>
      second.write('note-cosigned', about, { signs: signed.id, note: '', ...note, covers })
    const unseen = new Chart().add([placed, ...facts, signed, corrected, cosign([signed.id])])
    const seen = new Chart().add([placed, ...facts, signed, corrected, cosign([corrected.id])])
    expect([kinds(unseen), kinds(seen)]).toEqual([['signed after correction'], []])
  })
  it('sees a clock that was more than five minutes off, and says by how much', () => {
    const facts = given('v1', 'amsel', '2026-03-10T15:01:00.000Z', 1)
    const ahead = (ms: number) => new Map(facts.map(({ id }) => [id, ms]))
    expect(questions(new Chart().add([placed, ...facts], ahead(-3 * 3_600_000)))[0]?.what).toContain(
      '180 min behind',
    )
    expect(kinds(new Chart().add([placed, ...facts], ahead(5 * 60_000)))).toEqual([])
  })
})

describe('settle', () => {
  it('lists a refused message whole until somebody settles it', () => {
    const message = feed.write(
      'message-received',
      { messageId: 'm' },
      {
        channel: 'hl7v2',
        raw: 'MSH|…',
        encoding: 'text',
        key: 'k',
        type: 'RDE^O11',
        sender: 'ORDERS',
        answer: { code: 'AE', text: 'MSA|AE' },
        problems: [{ where: 'TQ1-3', code: '103', what: 'unknown frequency' }],
        made: [],
      },
    )
    const chart = new Chart().add([message])
    expect(settleItems(chart, DOSE)).toMatchObject([
      { id: 'message:m', what: 'TQ1-3: unknown frequency', raw: 'MSH|…', owes: 'sender' },
    ])
    const done = feed.write(
      'item-settled',
      {},
      { item: 'message:m', how: 'not-for-us', note: 'test message' },
    )
    expect(settleItems(chart.add([done]), DOSE)).toEqual([])
  })
})
