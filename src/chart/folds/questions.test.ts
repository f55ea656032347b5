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
      '3 h 0 min behind',
    )
    expect(kinds(new Chart().add([placed, ...facts], ahead(5 * 60_000)))).toEqual([])
  })
})

type Mark = Pick<TestWriter, 'write'>
const on = (device: string, writer: TestWriter): Mark => ({
  write: (kind, about, body, more) => ({ ...writer.write(kind, about, body, more), device }) as never,
})
const writerAt = (at: string, seed: number, personId = 'amsel', device = `tablet-of-${personId}`) =>
  on(device, new TestWriter(at, seed, { personId, role: 'therapist' }))

describe('one dose and two people', () => {
  it('is asked about while both only have it in hand, until one steps back', () => {
    const open = (visitId: string, personId: string, at: string, seed: number) =>
      writerAt(at, seed, personId).write('visit-opened', { ...order, visitId }, { doseAt: DOSE })
    const facts = [
      placed,
      open('v1', 'amsel', '2026-03-10T14:50:00.000Z', 1),
      open('v2', 'birke', '2026-03-10T14:52:00.000Z', 2),
    ]
    const asked = questions(new Chart().add(facts))
    expect(asked).toMatchObject([{ kind: 'dose in two hands', visitIds: ['v1', 'v2'] }])
    expect(asked[0]?.sides.map(({ personId }) => personId)).toEqual(['amsel', 'birke'])
    const back = writerAt('2026-03-10T14:55:00.000Z', 3, 'birke').write(
      'dose-not-given',
      { ...order, visitId: 'v2' },
      { doseAt: DOSE, reason: 'given by somebody else', note: '', next: 'next dose as due', told: '' },
    )
    expect(kinds(new Chart().add([...facts, back]))).toEqual([])
  })
  it('is asked about when one began it and the other charted it as not given', () => {
    const gave = given('v1', 'amsel', '2026-03-10T15:01:00.000Z', 1)
    const notGiven = (at: string, next: 'try again later' | 'next dose as due') =>
      writerAt(at, 5, 'birke').write('dose-not-given', order, {
        doseAt: DOSE,
        reason: 'not in room',
        note: '',
        next,
        told: '',
      })
    const asked = (fact: AnyFact) => kinds(new Chart().add([placed, ...gave, fact]))
    expect(asked(notGiven('2026-03-10T15:05:00.000Z', 'try again later'))).toEqual(['given and not given'])
    expect(asked(notGiven('2026-03-10T14:40:00.000Z', 'next dose as due'))).toEqual(['given and not given'])
    expect(asked(notGiven('2026-03-10T14:40:00.000Z', 'try again later'))).toEqual([])
  })
  it('is seen inside one visit too, when two devices began it; two presses on one device are one', () => {
    const [opened, first] = given('v1', 'amsel', '2026-03-10T15:01:00.000Z', 1)
    const again = writerAt('2026-03-10T15:03:00.000Z', 9, 'birke').write(
      'treatment-started',
      { ...order, visitId: 'v1' },
      { alongside: [] },
    )
    if (!opened || !first) throw new Error('no facts')
    expect(kinds(new Chart().add([placed, opened, first, again]))).toEqual(['dose given twice'])
    expect(kinds(new Chart().add([placed, opened, first, { ...again, device: first.device }]))).toEqual([])
  })
  it('is seen when as-needed treatments come closer than ordered and the second did not know', () => {
    const prn = feed.write(
      'order-placed',
      { patientId: 'p', orderId: 'o' },
      {
        channel: 'hl7v2',
        order: { ...QID_ALBUTEROL, prn: { reason: 'wheeze', minimumGapMinutes: 240 } },
      },
    )
    const call = (visitId: string, at: string, seed: number, minutesSinceLastDose: number | null) => {
      const writer = writerAt(at, seed, `p${seed}`)
      const about = { ...order, visitId }
      const door = { orderActive: true, findings: [], precautions: [], putOn: [], equipment: [] }
      return [
        writer.write('visit-opened', about, { doseAt: null }),
        writer.write('door-checked', about, { ...door, minutesSinceLastDose }),
        writer.write('treatment-started', about, { alongside: [] }),
      ]
    }
    const first = call('v1', '2026-03-10T15:00:00.000Z', 1, null)
    const asked = (since: number | null, at = '2026-03-10T16:00:00.000Z') =>
      kinds(new Chart().add([prn, ...first, ...call('v2', at, 2, since)]))
    expect(asked(null)).toEqual(['dose given twice'])
    expect(asked(60)).toEqual([])
    expect(asked(null, '2026-03-10T19:30:00.000Z')).toEqual([])
  })
})

describe('what a wrong clock must not hide', () => {
  it('an order stopped before a treatment whose tablet was three hours behind', () => {
    const facts = given('v1', 'amsel', '2026-03-10T12:01:00.000Z', 1)
    const stop = feed.write('order-discontinued', order, {
      effectiveAt: '2026-03-10T14:00:00.000Z',
      reason: null,
    })
    const behind = new Map(facts.map(({ id }) => [id, -3 * 3_600_000]))
    expect(kinds(new Chart().add([placed, stop, ...facts]))).toEqual([])
    expect(kinds(new Chart().add([placed, stop, ...facts], behind))).toEqual([
      'given after stop',
      'clock wrong',
    ])
  })
  it('is told of when the fact itself was known before, and of entries outside visits by their device', () => {
    const fact = writerAt('2026-03-10T15:00:00.000Z', 1).write(
      'patient-away',
      { patientId: 'p' },
      { reason: 'imaging' },
    )
    const chart = new Chart().add([fact])
    const before = chart.clocksLearned
    chart.add([fact], new Map([[fact.id, 7 * 3_600_000]]))
    expect(chart.clocksLearned).toBeGreaterThan(before)
    expect(chart.revision).toBe(1)
    expect(questions(chart)).toMatchObject([
      {
        kind: 'clock wrong',
        visitIds: [],
        sides: [{ at: '2026-03-10T15:00:00.000Z' }, { at: '2026-03-10T08:00:00.000Z' }],
      },
    ])
  })
})

describe('notes signed and corrected apart', () => {
  const about = { ...order, visitId: 'v1' }
  const text = { printedName: 'x', contentHash: HASH }
  const visitFacts = given('v1', 'amsel', '2026-03-10T15:01:00.000Z', 1)
  const sign = (at: string, seed: number, device: string, covers: string[]) =>
    writerAt(at, seed, 'amsel', device).write('note-signed', about, {
      composed: '',
      text: 'a',
      meaning: 'gave',
      ...text,
      covers,
    })
  const correct = (at: string, seed: number, device: string, covers: string[]) =>
    writerAt(at, seed, 'amsel', device).write(
      'note-corrected',
      about,
      { text: `text ${seed}`, reason: 'slip', ...text, covers },
      { corrects: covers[0] ?? '' },
    )
  const signed = sign(
    '2026-03-10T15:20:00.000Z',
    21,
    'tablet-1',
    visitFacts.map(({ id }) => id),
  )

  it('two notes of one visit are a question, and the first stays in force', () => {
    const other = sign(
      '2026-03-10T15:22:00.000Z',
      22,
      'tablet-2',
      visitFacts.map(({ id }) => id),
    )
    const chart = new Chart().add([placed, ...visitFacts, other, signed])
    expect(kinds(chart)).toEqual(['signed twice'])
    expect(chart.visit('v1')?.note?.signed.factId).toBe(signed.id)
  })
  it('an entry of another device that the signature did not know of is a question', () => {
    const paused = writerAt('2026-03-10T15:10:00.000Z', 30, 'birke').write('treatment-paused', about, {
      reason: 'coughing',
    })
    expect(kinds(new Chart().add([placed, ...visitFacts, signed, paused]))).toEqual(['signed unseen'])
    const knowing = sign(
      '2026-03-10T15:20:00.000Z',
      23,
      'tablet-1',
      [...visitFacts, paused].map(({ id }) => id),
    )
    expect(kinds(new Chart().add([placed, ...visitFacts, knowing, paused]))).toEqual([])
  })
  it('two corrections of one text are a question until one covers both', () => {
    const one = correct('2026-03-10T15:30:00.000Z', 31, 'tablet-1', [signed.id])
    const two = correct('2026-03-10T15:31:00.000Z', 32, 'tablet-2', [signed.id])
    const facts = [placed, ...visitFacts, signed, two, one]
    expect(kinds(new Chart().add(facts))).toEqual(['corrected twice'])
    const both = correct('2026-03-10T15:40:00.000Z', 33, 'tablet-1', [one.id, two.id])
    expect(kinds(new Chart().add([...facts, both]))).toEqual([])
  })
  it('who co-signs the last of two corrections has signed for the one under it', () => {
    const one = correct('2026-03-10T15:30:00.000Z', 31, 'tablet-1', [signed.id])
    const two = correct('2026-03-10T15:31:00.000Z', 32, 'tablet-1', [one.id])
    const cosign = (covers: string[]) =>
      writerAt('2026-03-10T15:50:00.000Z', 40, 'birke').write('note-cosigned', about, {
        signs: signed.id,
        note: '',
        ...text,
        covers,
      })
    const facts = [placed, ...visitFacts, signed, one, two]
    expect(kinds(new Chart().add([...facts, cosign([two.id])]))).toEqual([])
    const unseen = questions(new Chart().add([...facts, cosign([one.id])]))
    expect(unseen).toMatchObject([{ kind: 'signed after correction' }])
    expect(unseen[0]?.sides).toHaveLength(2)
  })
})

describe('visits of a shift', () => {
  it('placed twice, each without knowing of the other, until one who knows both places it', () => {
    const about = { shiftId: 's1', patientId: 'p' }
    const doses = [{ orderId: 'o', doseAt: DOSE, callId: null }]
    const place = (personId: string, startAt: string | null, inPlaceOf: string[], at: string, seed: number) =>
      new TestWriter(at, seed, { personId: `by-${personId}`, role: 'lead' }).write('visit-pinned', about, {
        ...{ visit: 'o', doses, why: '' },
        ...{ personId, startAt, inPlaceOf },
      })
    const one = place('amsel', DOSE, [], '2026-03-10T13:00:00.000Z', 21)
    const two = place('birke', null, [], '2026-03-10T13:05:00.000Z', 22)
    expect(questions(new Chart().add([two, one]))).toMatchObject([
      {
        kind: 'pins side by side',
        patientId: 'p',
        orderId: 'o',
        sides: [
          { personId: 'by-amsel', placed: { personId: 'amsel', startAt: DOSE } },
          { personId: 'by-birke', placed: { personId: 'birke', startAt: null } },
        ],
      },
    ])
    const settled = place('birke', DOSE, [one.id, two.id], '2026-03-10T13:10:00.000Z', 23)
    expect(kinds(new Chart().add([two, one, settled]))).toEqual([])
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
