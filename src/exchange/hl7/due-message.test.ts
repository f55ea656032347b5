import { beforeEach, describe, expect, it } from 'vitest'
import { QID_ALBUTEROL, TestWriter } from '../../../test/support/facts.ts'
import {
  begun,
  DECLINED,
  given,
  measured,
  SIGNATURE,
  signed,
  treated,
} from '../../../test/support/treatment.ts'
import { Chart } from '../../chart/folds/chart.ts'
import type { AnyFact, BodyOf } from '../../chart/registry.ts'
import { type DueMessage, dueMessage, type Told } from './due-message.ts'
import { parseMessage, SegmentReader } from './message.ts'
import type { Envelope } from './write-segments.ts'

const ABOUT = { patientId: 'p', orderId: 'o', visitId: 'v' }
const RAS: Told = { destination: 'pharmacy', types: ['RAS^O17'], type: 'RAS^O17' }
const ENVELOPE: Envelope = {
  from: { application: 'MISTWRIGHT', facility: 'LARKMERE' },
  to: { application: 'PHARMACY', facility: 'LARKMERE' },
  at: '2026-03-10T12:00:00.000Z',
  timeZone: 'America/Chicago',
  controlId: 'C1',
  processingId: 'P',
}

let writer: TestWriter
let chart: Chart
let number: number
beforeEach(() => {
  writer = new TestWriter('2026-03-10T10:00:00.000Z')
  number = 0
  const who = { mrn: 'LK204101', family: 'Kestrel', given: 'Anselm', dob: '1962-10-17' }
  chart = new Chart().add([
    writer.write('census-updated', { patientId: 'p' }, { event: 'admitted', patch: who }),
    writer.write('order-placed', ABOUT, { order: QID_ALBUTEROL, channel: 'hl7v2' }),
  ])
})

const due = (told = RAS, subject = 'v') => dueMessage(chart, subject, told, ENVELOPE)
/** Puts a message that was due on the record, and what became of it. */
const sent = (
  message: DueMessage | null,
  outcome: BodyOf<'message-answered'>['outcome'] | null = 'taken',
) => {
  if (!message) throw new Error('nothing was due')
  number += 1
  const { patientId, orderId, ...told } = message
  const messageId = `m${number}`
  const body = { ...told, destination: 'pharmacy', number, controlId: `C${number}` }
  const facts: AnyFact[] = [writer.write('message-composed', { messageId, patientId, orderId }, body)]
  if (outcome !== null && message.problem === null) {
    const answer = { destination: 'pharmacy', outcome, answer: null, why: 'AE', tries: 1 }
    facts.push(writer.write('message-answered', { messageId }, answer))
  }
  chart.add(facts)
  return messageId
}
/** Fields of all segments of a name. */
const fields = (message: DueMessage | null, name: string, ...numbers: number[]) => {
  const parsed = parseMessage(message?.text ?? '')
  if (!parsed) throw new Error(`no message: ${message?.problem}`)
  return parsed.segments
    .filter((segment) => segment.name === name)
    .map((segment) => numbers.map((at) => new SegmentReader(segment, parsed.delimiters).text(at)))
}
const strike = (fact: AnyFact | undefined) =>
  writer.write('entry-struck', ABOUT, { reason: 'wrong patient' }, { corrects: fact?.id ?? '' })

describe('what a system has yet to be told of a treatment', () => {
  it('is nothing before it is signed, then all of it once, with its observations', () => {
    chart.add([...begun(writer, ABOUT), ...given(writer, ABOUT)])
    expect(due()).toBeNull()
    chart.add([signed(writer, ABOUT)])
    const first = due()
    expect(first).toMatchObject({ action: 'A', type: 'RAS^O17', patientId: 'p', orderId: 'o', problem: null })
    expect(fields(first, 'PID', 3, 5)).toEqual([['LK204101', 'Kestrel']])
    expect(fields(first, 'RXA', 6, 20, 21)).toEqual([['2.5', 'CP', 'A']])
    expect(fields(first, 'OBX', 3, 5, 11)).toEqual([
      ['8867-4', '88', 'F'],
      ['59408-5', '93', 'F'],
    ])
    sent(first, null)
    expect(due()).toBeNull()
    chart.add([writer.write('message-answered', { messageId: 'm1' }, taken)])
    expect(due()).toBeNull()
  })
  const taken = { destination: 'pharmacy', outcome: 'taken', answer: null, why: 'AA', tries: 1 } as const

  it('is nothing of a learner before the second signature', () => {
    writer = new TestWriter('2026-03-10T10:30:00.000Z', 5, { personId: 'hollen', role: 'learner' })
    chart.add(treated(writer, ABOUT))
    expect(due()).toBeNull()
    const educator = new TestWriter('2026-03-10T11:30:00.000Z', 6, { personId: 'gerlach', role: 'educator' })
    const signs = [...chart.factsAbout('visit', 'v')].find(({ kind }) => kind === 'note-signed')?.id ?? ''
    chart.add([educator.write('note-cosigned', ABOUT, { signs, note: '', ...SIGNATURE })])
    expect(due()?.action).toBe('A')
  })

  it('is a refusal with amount 0, also where there was no visit', () => {
    const { visitId: _, ...noVisit } = ABOUT
    const declined = writer.write('dose-not-given', noVisit, DECLINED)
    chart.add([declined])
    const message = due(RAS, declined.id)
    expect(fields(message, 'RXA', 6, 18, 20)).toEqual([['0', 'declined-by-patient', 'RE']])
    sent(message)
    expect(due(RAS, declined.id)).toBeNull()
  })

  it('is an update when a value was corrected: the new one corrected, the struck one wrong', () => {
    const facts = treated(writer, ABOUT)
    chart.add(facts)
    sent(due())
    const first = facts.find(({ kind }) => kind === 'measured')
    writer.at = '2026-03-10T11:05:00.000Z'
    chart.add([strike(first), measured(writer, ABOUT, 98)])
    const update = due()
    expect(fields(update, 'RXA', 21)).toEqual([['U']])
    expect(fields(update, 'OBX', 3, 5, 11)).toEqual([
      ['8867-4', '98', 'C'],
      ['59408-5', '93', 'C'],
      ['8867-4', '88', 'W'],
      ['59408-5', '93', 'W'],
    ])
    sent(update)
    expect(due()).toBeNull()
  })

  it('is not told anew because the patient was moved', () => {
    chart.add(treated(writer, ABOUT))
    sent(due())
    const place = { unit: '5EAST', room: '1', bed: 'B' }
    chart.add([writer.write('census-updated', { patientId: 'p' }, { event: 'moved', patch: { place } })])
    expect(due()).toBeNull()
  })

  it('is a deletion when what was told does not stand any more, and a first telling when it is charted again', () => {
    const facts = treated(writer, ABOUT)
    chart.add(facts)
    sent(due())
    chart.add([strike(facts.find(({ kind }) => kind === 'treatment-ended'))])
    const deletion = due()
    expect(fields(deletion, 'RXA', 6, 21)).toEqual([['2.5', 'D']])
    expect(fields(deletion, 'OBX', 11)).toEqual([['W'], ['W']])
    sent(deletion)
    expect(due()).toBeNull()
    chart.add(given(writer, ABOUT))
    expect(due()?.action).toBe('A')
  })

  it('is told again after a refusal only when somebody asks, or when it has changed', () => {
    const facts = treated(writer, ABOUT)
    chart.add(facts)
    const messageId = sent(due(), 'refused')
    expect(due()).toBeNull()
    const item = `outgoing:${messageId}`
    chart.add([
      writer.write('item-settled', { messageId }, { item, how: 'set-aside', note: 'told by phone' }),
    ])
    expect(due()).toBeNull()
    chart.add([writer.write('item-settled', { messageId }, { item, how: 'sent-again', note: 'line mended' })])
    expect(due()?.action).toBe('A')
    sent(due(), 'not answered')
    expect(due()).toBeNull()
    chart.add([strike(facts.find(({ kind }) => kind === 'measured'))])
    expect(due()?.action).toBe('A')
    sent(due())
    expect(due()).toBeNull()
  })

  it('goes in ORU^R01 where a system takes both, and then not in RAS^O17', () => {
    const both = { destination: 'pharmacy', types: ['RAS^O17', 'ORU^R01'] } as const
    const facts = treated(writer, ABOUT)
    chart.add(facts)
    const [ras, oru] = [due({ ...both, type: 'RAS^O17' }), due({ ...both, type: 'ORU^R01' })]
    expect(fields(ras, 'OBX', 3)).toEqual([])
    expect(fields(oru, 'OBR', 3, 25)).toEqual([['v', 'F']])
    expect(fields(oru, 'OBX', 3, 5, 11)).toHaveLength(2)
    sent(ras)
    sent(oru)
    chart.add([strike(facts.find(({ kind }) => kind === 'measured'))])
    expect(due({ ...both, type: 'RAS^O17' })).toBeNull()
    const wrong = due({ ...both, type: 'ORU^R01' })
    expect(fields(wrong, 'OBR', 25)).toEqual([['C']])
    expect(fields(wrong, 'OBX', 5, 11)).toEqual([
      ['88', 'W'],
      ['93', 'W'],
    ])
  })

  it('is kept with the reason when it cannot be written, and not tried over and over', () => {
    const patientId = 'nameless'
    chart.add([
      writer.write('order-placed', { patientId, orderId: 'o2' }, { order: QID_ALBUTEROL, channel: 'hand' }),
      ...treated(writer, { patientId, orderId: 'o2', visitId: 'v2' }),
    ])
    const message = due(RAS, 'v2')
    expect(message).toMatchObject({ text: null, problem: expect.stringContaining('record number') })
    sent(message)
    expect(due(RAS, 'v2')).toBeNull()
  })
})
