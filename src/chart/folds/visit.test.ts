import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { TestWriter } from '../../../test/support/facts.ts'
import type { AnyFact } from '../registry.ts'
import { runElapsedMs, runPhase } from './run.ts'
import { foldVisit, isOver, noteInForce } from './visit.ts'

const ABOUT = { patientId: 'p', orderId: 'o', visitId: 'v' }
const HASH = 'a'.repeat(64)

function aVisit(): { facts: AnyFact[]; writer: TestWriter } {
  const writer = new TestWriter('2026-03-10T11:00:00.000Z')
  const facts: AnyFact[] = [writer.write('visit-opened', ABOUT, { doseAt: '2026-03-10T11:00:00.000Z' })]
  writer.at = '2026-03-10T11:10:00.000Z'
  facts.push(writer.write('treatment-started', ABOUT, { alongside: [] }))
  writer.at = '2026-03-10T11:14:00.000Z'
  facts.push(writer.write('treatment-paused', ABOUT, { reason: 'coughing' }))
  writer.at = '2026-03-10T11:16:00.000Z'
  facts.push(writer.write('treatment-goes-on', ABOUT, {}))
  writer.at = '2026-03-10T11:22:00.000Z'
  facts.push(
    writer.write('treatment-ended', ABOUT, { how: 'finished', leftMl: null, given: [], told: '', next: '' }),
  )
  return { facts, writer }
}

describe('the run is computed from facts', () => {
  it('leaves pauses out and stops at the end', () => {
    const { facts } = aVisit()
    const run = foldVisit('v', facts)?.run
    if (!run) throw new Error('no run')
    expect(runPhase(run)).toBe('ended')
    expect(runElapsedMs(run, '2026-03-10T23:00:00.000Z')).toBe(10 * 60_000)
  })
  it('counts on while running, and stands while paused', () => {
    const { facts } = aVisit()
    const running = foldVisit('v', facts.slice(0, 2))?.run
    const paused = foldVisit('v', facts.slice(0, 3))?.run
    if (!running || !paused) throw new Error('no run')
    expect(runElapsedMs(running, '2026-03-10T11:13:30.000Z')).toBe(3.5 * 60_000)
    expect(runElapsedMs(paused, '2026-03-10T11:15:30.000Z')).toBe(4 * 60_000)
    expect(runPhase(paused)).toBe('paused')
  })
  it('never counts backwards when a clock was set back', () => {
    const { facts } = aVisit()
    const run = foldVisit('v', facts.slice(0, 2))?.run
    if (!run) throw new Error('no run')
    expect(runElapsedMs(run, '2026-03-10T10:00:00.000Z')).toBe(0)
  })
})

describe('a visit', () => {
  it('is the same whatever the order and however often each fact arrives', () => {
    const { facts } = aVisit()
    const expected = foldVisit('v', facts)
    fc.assert(
      fc.property(
        fc.shuffledSubarray([...facts, ...facts], { minLength: facts.length * 2 }),
        (asReceived) => {
          expect(foldVisit('v', asReceived)).toEqual(expected)
        },
      ),
    )
  })
  it('is not known before its opening has arrived', () => {
    expect(foldVisit('v', aVisit().facts.slice(1))).toBeNull()
  })
  it('takes the later of two corrected entries and keeps the id of both', () => {
    const { facts, writer } = aVisit()
    const body = {
      when: 'before' as const,
      values: { heartRatePerMin: 84 },
      notMeasured: [],
      confirmedOdd: [],
    }
    const first = writer.write('measured', ABOUT, body)
    const second = writer.write(
      'measured',
      ABOUT,
      { ...body, values: { heartRatePerMin: 48 } },
      { corrects: first.id },
    )
    const visit = foldVisit('v', [...facts, second, first])
    expect(visit?.measured.map((entry) => entry.body.values.heartRatePerMin)).toEqual([48])
    expect(visit?.factIds).toEqual(expect.arrayContaining([first.id, second.id]))
  })
  it('forgets an entry that was struck', () => {
    const { facts, writer } = aVisit()
    const body = {
      when: 'before' as const,
      values: { heartRatePerMin: 84 },
      notMeasured: [],
      confirmedOdd: [],
    }
    const wrong = writer.write('measured', ABOUT, body)
    const strike = writer.write('entry-struck', ABOUT, { reason: 'other patient' }, { corrects: wrong.id })
    expect(foldVisit('v', [...facts, wrong, strike])?.measured).toEqual([])
  })
})

describe('a signed note', () => {
  const note = (text: string) => ({ text, printedName: 'R. Amsel', contentHash: HASH, covers: [] })
  it('keeps the first text readable beside its correction', () => {
    const { facts, writer } = aVisit()
    const signed = writer.write('note-signed', ABOUT, { composed: 'c', meaning: 'gave', ...note('first') })
    writer.at = '2026-03-10T12:00:00.000Z'
    const correction = writer.write(
      'note-corrected',
      ABOUT,
      { reason: 'wrong lobe', ...note('second') },
      { corrects: signed.id },
    )
    const visit = foldVisit('v', [correction, ...facts, signed])
    if (!visit?.note) throw new Error('no note')
    expect(isOver(visit)).toBe(true)
    expect(visit.note.signed.body.text).toBe('first')
    expect(noteInForce(visit.note)).toMatchObject({ text: 'second', at: '2026-03-10T12:00:00.000Z' })
  })
  it('by a learner waits for a second signature', () => {
    const { facts } = aVisit()
    const learner = new TestWriter('2026-03-10T11:30:00.000Z', 7, { personId: 'lerner', role: 'learner' })
    const signed = learner.write('note-signed', ABOUT, { composed: 'c', meaning: 'gave', ...note('first') })
    expect(foldVisit('v', [...facts, signed])?.note?.needsCosign).toBe(true)
    const second = new TestWriter('2026-03-10T11:40:00.000Z', 9).write('note-cosigned', ABOUT, {
      signs: signed.id,
      note: '',
      printedName: 'R. Amsel',
      contentHash: HASH,
      covers: [signed.id],
    })
    expect(foldVisit('v', [second, ...facts, signed])?.note?.needsCosign).toBe(false)
  })
})
