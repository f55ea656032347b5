import { describe, expect, it } from 'vitest'
import { TestWriter } from '../../../test/support/facts.ts'
import type { BodyOf } from '../registry.ts'
import { Chart } from './chart.ts'
import { settleItems } from './settle.ts'

const AT = '2026-03-10T12:00:00.000Z'
const writer = new TestWriter(AT)
const composed = (number: number, more: Partial<BodyOf<'message-composed'>> = {}) =>
  writer.write(
    'message-composed',
    { messageId: `m${number}`, patientId: 'p', orderId: 'o' },
    {
      destination: 'pharmacy',
      number,
      type: 'RAS^O17',
      action: 'A',
      subject: `v${number}`,
      covers: [],
      controlId: `C${number}`,
      text: 'MSH|^~\\&|',
      problem: null,
      ...more,
    },
  )
const answered = (number: number, outcome: BodyOf<'message-answered'>['outcome'], why: string) =>
  writer.write(
    'message-answered',
    { messageId: `m${number}` },
    { destination: 'pharmacy', outcome, answer: null, why, tries: 1 },
  )
const items = (chart: Chart, now = AT) =>
  settleItems(chart, now).map(({ id, what, owes }) => [id, what, owes])

describe('messages of ours under Settle', () => {
  it('are those that were refused, not answered or not written, until somebody settles them', () => {
    const chart = new Chart().add([
      composed(1),
      answered(1, 'taken', 'AA'),
      composed(2),
      answered(2, 'refused', 'AE: no such order'),
      composed(3, { text: null, problem: 'no record number' }),
      composed(4),
    ])
    expect(items(chart)).toEqual([
      ['outgoing:m2', 'pharmacy was not told: AE: no such order', 'receiver'],
      ['outgoing:m3', 'pharmacy was not told: no record number', 'receiver'],
    ])
    const settled = { item: 'outgoing:m2', how: 'set-aside', note: 'told by telephone' } as const
    chart.add([writer.write('item-settled', { messageId: 'm2' }, settled)])
    expect(items(chart).map(([id]) => id)).toEqual(['outgoing:m3'])
  })
  it('are not those that a later message about the same treatment made good', () => {
    const chart = new Chart().add([composed(1), answered(1, 'refused', 'AE'), composed(2, { subject: 'v1' })])
    expect(items(chart)).toEqual([])
  })
  it('are one line for a system that has taken nothing for half an hour', () => {
    const chart = new Chart().add([composed(1), composed(2)])
    expect(items(chart, '2026-03-10T12:29:59.000Z')).toEqual([])
    expect(items(chart, '2026-03-10T12:30:00.000Z')).toEqual([
      ['waiting:m1', 'pharmacy has not taken 2 messages.', 'receiver'],
    ])
    chart.add([answered(1, 'taken', 'AA'), answered(2, 'taken', 'AA')])
    expect(items(chart, '2026-03-10T12:30:00.000Z')).toEqual([])
  })
  it('stay taken though another server had a doubt', () => {
    const chart = new Chart().add([
      composed(1),
      answered(1, 'not answered', 'silence'),
      answered(1, 'taken', 'AA'),
    ])
    expect(chart.outgoing('m1')?.state).toBe('taken')
    expect(items(chart)).toEqual([])
  })
})
