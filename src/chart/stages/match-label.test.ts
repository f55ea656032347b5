import { describe, expect, it } from 'vitest'
import { preparedBody } from '../../../test/support/charted-visit.ts'
import { QID_ALBUTEROL, TestWriter } from '../../../test/support/facts.ts'
import { Chart } from '../folds/chart.ts'
import type { AnyFact } from '../registry.ts'
import { give } from './give.ts'
import { compareLabel, type LabelSeen, labelWaits } from './match-label.ts'

const NOW = '2026-03-10T15:00:00.000Z'
const CODE = '7F3A91BC05'
const about = { patientId: 'p', orderId: 'o', visitId: 'v' }
const writer = new TestWriter(NOW, 3)
const facts: AnyFact[] = [
  writer.write(
    'census-updated',
    { patientId: 'p' },
    { event: 'admitted', patch: { mrn: 'LK1', family: 'Vale', given: 'Tamsin' } },
  ),
  writer.write('order-placed', { patientId: 'p', orderId: 'o' }, { order: QID_ALBUTEROL, channel: 'hl7v2' }),
  writer.write('visit-opened', about, { doseAt: null }),
  writer.write('prepared', about, { ...preparedBody(3), labelCode: CODE }),
]
const SEEN: LabelSeen = { labelCode: CODE, patient: 'LK1', order: 'P1', useBy: '2026-03-10T15:30:00.000Z' }

function visitOf(chart: Chart) {
  const visit = chart.visit('v')
  if (!visit) throw new Error('no visit')
  return visit
}

function differ(seen: Partial<LabelSeen>, more: readonly AnyFact[] = facts): string[] {
  const chart = new Chart().add(more)
  const compared = compareLabel(
    { ...SEEN, ...seen },
    {
      patient: chart.patient('p'),
      placer: 'P1',
      visit: visitOf(chart),
      now: NOW,
      useBy: '2026-03-10T16:00:00.000Z',
      clock: (instant) => instant.slice(11, 16),
    },
  )
  return compared.ok
    ? []
    : compared.differences.map(({ what, expected, found }) => `${what}: ${expected} | ${found}`)
}

describe('a label held against the visit', () => {
  it('agrees when patient, order, preparation and time do; typed, small letters and blanks make no difference', () => {
    expect(differ({})).toEqual([])
    const compared = differ({ labelCode: '7f3a 91bc-05' })
    expect(compared).toEqual([])
  })
  it.each<[string, Partial<LabelSeen>, string]>([
    ['patient', { patient: 'LK2' }, 'patient: Tamsin Vale, LK1 | LK2'],
    ['order', { order: 'P2' }, 'order: P1 | P2'],
    ['preparation', { labelCode: 'OTHER' }, `preparation: ${CODE} | OTHER`],
    ['use by', { useBy: NOW }, 'use by: after 15:00 | 15:00'],
  ])('names another %s', (_what, seen, words) => {
    expect(differ(seen)).toEqual([words])
  })
  it('names everything that differs at once, and a cup that no label was printed for', () => {
    expect(differ({ patient: 'LK2', order: 'P2', labelCode: 'OTHER' })).toHaveLength(3)
    const unlabeled = [...facts.slice(0, 3), writer.write('prepared', about, preparedBody(3))]
    expect(differ({}, unlabeled)).toEqual([`preparation: no label was printed for this cup | ${CODE}`])
  })
})

describe('the start of a treatment', () => {
  const open = (more: readonly AnyFact[]) => {
    const chart = new Chart().add([...facts, ...more])
    const order = chart.order('o')
    if (!order) throw new Error('no order')
    const context = { visit: visitOf(chart), patient: chart.patient('p'), order, now: NOW }
    return give.demands(context).flatMap(({ code, met }) => (met ? [] : [code]))
  }
  it('waits for the label that was printed, and for it alone', () => {
    const checked = (labelCode: string) =>
      writer.write('preparation-checked', about, { labelCode, how: 'scanned' })
    expect(open([])).toEqual(['label', 'started', 'ended'])
    expect(open([checked(CODE)])).toEqual(['started', 'ended'])
  })
  it('waits again after the cup was made up anew under another label', () => {
    const checked = writer.write('preparation-checked', about, { labelCode: CODE, how: 'scanned' })
    writer.at = '2026-03-10T15:10:00.000Z'
    const anew = writer.write('prepared', about, { ...preparedBody(3), labelCode: 'NEW' })
    expect(labelWaits(visitOf(new Chart().add([...facts, checked])))).toBe(false)
    expect(labelWaits(visitOf(new Chart().add([...facts, checked, anew])))).toBe(true)
  })
})
