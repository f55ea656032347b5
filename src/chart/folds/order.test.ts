import { describe, expect, it } from 'vitest'
import { QID_ALBUTEROL, TestWriter } from '../../../test/support/facts.ts'
import type { AnyFact } from '../registry.ts'
import { foldOrder, openFindings, orderStatusAt, termsAt } from './order.ts'

const ABOUT = { patientId: 'p', orderId: 'o' }
const EIGHT = '2026-03-11T08:00:00.000Z'
const NINE = '2026-03-11T09:00:00.000Z'
const TEN = '2026-03-11T10:00:00.000Z'

function placed(): { facts: AnyFact[]; writer: TestWriter } {
  const writer = new TestWriter('2026-03-10T10:00:00.000Z', 3, { personId: 'feed', role: 'system' })
  return { writer, facts: [writer.write('order-placed', ABOUT, { order: QID_ALBUTEROL, channel: 'hl7v2' })] }
}

function folded(facts: readonly AnyFact[]) {
  const order = foldOrder('o', facts)
  if (!order) throw new Error('no order')
  return order
}

describe('an order', () => {
  it('has not begun before its start, is active from it on', () => {
    const order = folded(placed().facts)
    expect(orderStatusAt(order, '2026-03-10T10:59:59.999Z')).toBe('not begun')
    expect(orderStatusAt(order, '2026-03-10T11:00:00.000Z')).toBe('active')
  })
  it('ends at its end', () => {
    const { writer } = placed()
    const order = folded([
      writer.write('order-placed', ABOUT, { order: { ...QID_ALBUTEROL, endAt: NINE }, channel: 'hl7v2' }),
    ])
    expect([EIGHT, NINE].map((at) => orderStatusAt(order, at))).toEqual(['active', 'ended'])
  })
  it('is on hold between hold and release, the end left out', () => {
    const { facts, writer } = placed()
    facts.push(
      writer.write(
        'order-held',
        ABOUT,
        { effectiveAt: EIGHT, reason: 'fast heart rate' },
        { happenedAt: EIGHT },
      ),
    )
    facts.push(
      writer.write('order-released', ABOUT, { effectiveAt: NINE, reason: null }, { happenedAt: NINE }),
    )
    const order = folded(facts)
    expect(['2026-03-11T07:59:59.999Z', EIGHT, NINE].map((at) => orderStatusAt(order, at))).toEqual([
      'active',
      'on hold',
      'active',
    ])
  })
  it('takes the terms of a change from its effective time on, and keeps the old ones for before', () => {
    const { facts, writer } = placed()
    const order = { ...QID_ALBUTEROL, title: 'albuterol 1.25 mg' }
    facts.push(
      writer.write('order-changed', ABOUT, { order, effectiveAt: NINE, reason: null }, { happenedAt: EIGHT }),
    )
    const state = folded(facts)
    expect([EIGHT, NINE].map((at) => termsAt(state, at).title)).toEqual([
      QID_ALBUTEROL.title,
      'albuterol 1.25 mg',
    ])
  })
  it('is discontinued for good, whatever else is said', () => {
    const { facts, writer } = placed()
    facts.push(
      writer.write('order-discontinued', ABOUT, { effectiveAt: NINE, reason: null }, { happenedAt: NINE }),
    )
    facts.push(writer.write('order-held', ABOUT, { effectiveAt: TEN, reason: null }, { happenedAt: TEN }))
    expect([EIGHT, NINE, TEN].map((at) => orderStatusAt(folded(facts), at))).toEqual([
      'active',
      'discontinued',
      'discontinued',
    ])
  })
  it('is not known while only an answer to it has arrived', () => {
    const { facts, writer } = placed()
    const held = writer.write('order-held', ABOUT, { effectiveAt: EIGHT, reason: null })
    expect(foldOrder('o', [held])).toBeNull()
    expect(folded([held, ...facts]).holds).toHaveLength(1)
  })
  it('asks for an answer to a stop or an ask until somebody gave it, never to a note', () => {
    const { facts, writer } = placed()
    const finding = (code: string, severity: 'stop' | 'ask' | 'note') => ({
      code,
      severity,
      what: code,
      why: '',
      sources: [],
      whoMustAnswer: 'prescriber' as const,
    })
    const findings = [finding('a', 'stop'), finding('b', 'ask'), finding('c', 'note')]
    facts.push(writer.write('order-reviewed', ABOUT, { reviewsFact: 'x', findings, formularyVersion: '1' }))
    expect(openFindings(folded(facts)).map(({ code }) => code)).toEqual(['a', 'b'])
    facts.push(
      writer.write('finding-answered', ABOUT, {
        code: 'a',
        decision: 'go-ahead',
        onWordOf: 'Dr',
        readBack: true,
        note: 'ok',
      }),
    )
    expect(openFindings(folded(facts)).map(({ code }) => code)).toEqual(['b'])
  })
})
