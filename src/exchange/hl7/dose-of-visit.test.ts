import { describe, expect, it } from 'vitest'
import { QID_ALBUTEROL, TestWriter } from '../../../test/support/facts.ts'
import { foldVisit } from '../../chart/folds/visit.ts'
import type { AnyFact, BodyOf } from '../../chart/registry.ts'
import { BadInput } from '../../clinical/worked.ts'
import { type DoseContext, doseOfVisit } from './dose-of-visit.ts'

const ABOUT = { patientId: 'p', orderId: 'o', visitId: 'v' }
const CONTEXT: DoseContext = {
  patient: {
    mrn: 'LK204101',
    wristbandGsrn: null,
    family: 'Kestrel',
    given: 'Anselm',
    middle: null,
    dob: '1962-10-17',
    sex: 'male',
    visitNumber: null,
    place: { unit: '4WEST', room: '7', bed: 'A' },
  },
  order: QID_ALBUTEROL,
  action: 'A',
  nameOf: () => 'Amsel Brandt',
}
const ALBUTEROL = { medicineId: 'albuterol', text: 'albuterol', nominal: 2.5, outOfCup: 1.75, unit: 'mg' }

function visitOf(end: BodyOf<'treatment-ended'> | BodyOf<'dose-not-given'> | null, isSigned = true) {
  const writer = new TestWriter('2026-03-10T11:00:00.000Z')
  const facts: AnyFact[] = [writer.write('visit-opened', ABOUT, { doseAt: '2026-03-10T11:00:00.000Z' })]
  const at = (time: string) => {
    writer.at = `2026-03-10T${time}:00.000Z`
  }
  at('11:04')
  facts.push(
    writer.write('measured', ABOUT, {
      when: 'before',
      values: {
        heartRatePerMin: 88,
        spo2Percent: 93,
        breathSounds: { 'right lower': ['wheeze on breathing out'] },
        peakFlowLPerMin: [210, 240, 230],
      },
      notMeasured: [{ measure: 'systolic', why: 'declined' }],
      confirmedOdd: [],
    }),
    writer.write('medicine-identified', ABOUT, {
      medicineId: 'albuterol',
      productId: 'alb-25',
      text: 'albuterol',
      gtin: null,
      lot: 'L7A042',
      expiry: '2027-03-31',
      how: 'typed',
    }),
  )
  if (end && 'reason' in end) {
    at('11:20')
    facts.push(writer.write('dose-not-given', ABOUT, end))
  } else if (end) {
    at('11:06')
    facts.push(writer.write('treatment-started', ABOUT, { alongside: [] }))
    at('11:14')
    facts.push(writer.write('treatment-ended', ABOUT, end))
  }
  at('11:19')
  const signature = { printedName: 'Amsel Brandt, RRT', contentHash: 'a'.repeat(64), covers: [] }
  if (isSigned && end && 'how' in end) {
    facts.push(
      writer.write('note-signed', ABOUT, { composed: 'c', text: 't', meaning: 'gave', ...signature }),
    )
  }
  const visit = foldVisit('v', facts)
  if (!visit) throw new Error('no visit')
  return visit
}

const finished = { how: 'finished' as const, leftMl: null, given: [ALBUTEROL], told: '', next: '' }
const stopped = { ...finished, how: 'stopped' as const, leftMl: 1 }
const declined = {
  doseAt: null,
  reason: 'declined by patient' as const,
  note: 'wants to sleep',
  next: 'try again later' as const,
  told: '',
}

describe('a visit as the dose that others are told of', () => {
  it('gives the whole dose of a finished one, with lot, times and who signed', () => {
    expect(doseOfVisit(visitOf(finished), CONTEXT)).toMatchObject({
      order: { placer: 'P1' },
      status: 'CP',
      startedAt: '2026-03-10T11:06:00.000Z',
      endedAt: '2026-03-10T11:14:00.000Z',
      enteredAt: '2026-03-10T11:19:00.000Z',
      by: { id: 'amsel', name: 'Amsel Brandt, RRT' },
      medicines: [
        { what: { code: 'MED0101' }, amount: 2.5, unit: 'mg', lot: 'L7A042', expiry: '2027-03-31' },
      ],
    })
  })
  it('counts only what left the cup of a stopped one, and says no amount when that is not known', () => {
    const amounts = (end: BodyOf<'treatment-ended'>) => {
      const { status, medicines } = doseOfVisit(visitOf(end), CONTEXT)
      return [status, medicines[0]?.amount]
    }
    expect(amounts(stopped)).toEqual(['PA', 1.75])
    expect(amounts({ ...stopped, leftMl: null, given: [{ ...ALBUTEROL, outOfCup: null }] })).toEqual([
      'PA',
      null,
    ])
  })
  it('tells a refusal from another reason, with amount 0 and one time', () => {
    const refused = doseOfVisit(visitOf(declined), CONTEXT)
    expect(refused).toMatchObject({
      status: 'RE',
      reason: { code: 'declined-by-patient', text: 'declined by patient' },
      note: 'wants to sleep',
      by: { id: 'amsel', name: 'Amsel Brandt' },
      medicines: [{ what: { code: 'MED0101' }, amount: 0, lot: null }],
    })
    expect(refused.startedAt).toBe(refused.endedAt)
    expect(doseOfVisit(visitOf({ ...declined, reason: 'not in room' }), CONTEXT).status).toBe('NA')
  })
  it('sends what was measured, the best blow, and what could not be measured with its reason', () => {
    const { observations } = doseOfVisit(visitOf(finished), CONTEXT)
    expect(
      observations.map(({ what, phase, value, unit, status, note }) => [
        what.code,
        phase,
        value,
        unit,
        status,
        note,
      ]),
    ).toEqual([
      ['8867-4', 'PRE', 88, '/min', 'F', null],
      ['59408-5', 'PRE', 93, '%', 'F', null],
      [
        'BREATHSOUNDS',
        'PRE',
        [
          {
            code: 'WHEEZE-ON-BREATHING-OUT-RIGHT-LOWER',
            text: 'wheeze on breathing out, right lower',
            system: 'L',
          },
        ],
        null,
        'F',
        null,
      ],
      ['33452-4', 'PRE', 240, 'L/min', 'F', null],
      ['8480-6', 'PRE', null, null, 'X', 'declined'],
    ])
  })
  it('marks every value of a corrected visit as a correction, and leaves a missing one missing', () => {
    const { action, observations } = doseOfVisit(visitOf(finished), { ...CONTEXT, action: 'U' })
    expect([action, ...observations.map(({ status }) => status)]).toEqual(['U', 'C', 'C', 'C', 'C', 'X'])
  })
  it.each([
    ['before its note is signed', visitOf(finished, false)],
    ['before anything was given', visitOf(null)],
  ])('refuses a visit %s', (_, visit) => {
    expect(() => doseOfVisit(visit, CONTEXT)).toThrow(BadInput)
  })
})
