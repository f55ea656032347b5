import { readFileSync } from 'node:fs'
import fc from 'fast-check'
import { Message as OtherMessage } from 'node-hl7-client'
import { describe, expect, it } from 'vitest'
import { MEDICINE_CODES } from '../../chart/documents/medicine-codes.ts'
import { BadInput } from '../../clinical/worked.ts'
import { readHl7 } from './read-hl7.ts'
import { type WrittenDose, writeDose } from './write-given.ts'
import { type WrittenObservation, writeObservations } from './write-observations.ts'
import { type Envelope, segment, text, time } from './write-segments.ts'

const ENVELOPE: Envelope = {
  from: { application: 'THERAPY', facility: 'MARROWBY' },
  to: { application: 'RXSYS', facility: 'MARROWBY' },
  at: '2026-03-10T12:19:00.000Z',
  timeZone: 'America/Chicago',
  controlId: 'MB30001',
  processingId: 'T',
}
const PATIENT = {
  mrn: 'MB004417',
  wristbandGsrn: '095011014560000112',
  family: 'Okonjo-Vale',
  given: 'Tamsin',
  middle: 'R',
  dob: '1958-02-14',
  sex: 'female',
  visitNumber: 'ENC70021',
  place: { unit: '4EAST', room: '412', bed: 'A' },
} as const
const ALBUTEROL = { code: 'MED0101', text: 'albuterol 2.5 mg in 3 mL inhalation solution', system: '99MGF' }
const heart = (phase: string, value: number, at: string): WrittenObservation => ({
  what: { code: '8867-4', text: 'Heart rate', system: 'LN' },
  phase,
  value,
  unit: '/min',
  status: 'F',
  at,
  note: null,
})
/** The dose of the sample message 10. */
const GIVEN: WrittenDose = {
  patient: PATIENT,
  order: { placer: 'P55001', filler: 'F90017' },
  medicines: [{ what: ALBUTEROL, amount: 2.5, unit: 'mg', lot: 'L7A042', expiry: '2027-03-31' }],
  status: 'CP',
  action: 'A',
  startedAt: '2026-03-10T12:06:00.000Z',
  endedAt: '2026-03-10T12:14:00.000Z',
  enteredAt: '2026-03-10T12:19:00.000Z',
  by: { id: '7310', name: 'Wil Achterberg' },
  device: { code: 'NEB', text: 'Nebulizer', system: 'HL70164' },
  reason: null,
  note: null,
  observations: [heart('PRE', 88, '2026-03-10T12:04:00.000Z'), heart('POST', 97, '2026-03-10T12:16:00.000Z')],
}
/** The dose of the sample message 11. */
const REFUSED: WrittenDose = {
  ...GIVEN,
  medicines: [{ what: ALBUTEROL, amount: 0, unit: 'mg', lot: null, expiry: null }],
  status: 'RE',
  startedAt: '2026-03-10T20:05:00.000Z',
  endedAt: '2026-03-10T20:05:00.000Z',
  reason: { code: 'PTREF', text: 'Asleep, declined when woken', system: '99MGF' },
  observations: [],
}

function readBack(message: string) {
  const settings = {
    timeZone: 'America/Chicago',
    codes: MEDICINE_CODES.defaults,
    us: { application: 'RXSYS', facility: 'MARROWBY', controlId: 'A1', now: ENVELOPE.at },
  }
  const { content, problems, answer } = readHl7(message, settings)
  if (content.kind !== 'outside') throw new Error(JSON.stringify(problems))
  return { ...content, code: answer?.code }
}
const lineOf = (message: string, name: string) =>
  message.split('\r').find((line) => line.startsWith(name)) ?? ''

describe('a dose as a message (RAS^O17 of HL7 v2.5.1)', () => {
  const sample = (name: string) => readFileSync(new URL(`./test-data/${name}`, import.meta.url), 'utf8')
  /** Fields that say the same in our message and in the sample; times by the sample's offset are compared as instants. */
  const fields = (message: string) =>
    lineOf(message, 'RXA')
      .split('|')
      .map((field) => {
        const [, digits, offset] = /^(\d{14})([+-]\d{4})$/.exec(field) ?? []
        if (digits === undefined) return field
        const iso = digits.replace(/(....)(..)(..)(..)(..)(..)/, '$1-$2-$3T$4:$5:$6')
        return new Date(`${iso}${offset?.slice(0, 3)}:${offset?.slice(3)}`).toISOString()
      })
  /** RXA 1 to 8, 15, 16, 18, 20 to 22: all but note, person, place and indication, which the samples word in their own way. */
  const SAME = [1, 3, 4, 5, 6, 7, 8, 15, 16, 18, 20, 21]
  it.each([
    ['10-ras-given.hl7', GIVEN],
    ['11-ras-refused.hl7', { ...REFUSED, enteredAt: '2026-03-10T20:35:00.000Z' }],
  ] as const)('says of itself what the sample %s says', (name, dose) => {
    const [ours, theirs] = [fields(writeDose(ENVELOPE, dose)), fields(sample(name))]
    expect(SAME.map((at) => ours[at])).toEqual(SAME.map((at) => theirs[at] ?? ''))
  })
  it('is read back as it was charted, with what was measured before and after', () => {
    const { outside, mrn, code } = readBack(writeDose(ENVELOPE, GIVEN))
    expect([mrn, code]).toEqual(['MB004417', 'AA'])
    expect(outside.administrations).toEqual([
      {
        status: 'CP',
        startedAt: GIVEN.startedAt,
        endedAt: GIVEN.endedAt,
        medicine: ALBUTEROL.text,
        code: 'MED0101',
        amount: 2.5,
        unit: 'mg',
        lot: 'L7A042',
        expiry: '2027-03-31',
        reason: null,
        by: '7310',
      },
    ])
    expect(outside.observations.map(({ when, value, status }) => [when, value, status])).toEqual([
      ['PRE', 88, 'F'],
      ['POST', 97, 'F'],
    ])
  })
  it('says of a stopped dose of unknown amount that there is no number, not zero', () => {
    const medicines = [{ what: ALBUTEROL, amount: null, unit: 'mg', lot: null, expiry: null }]
    const message = writeDose(ENVELOPE, { ...GIVEN, status: 'PA', medicines })
    expect(lineOf(message, 'RXA').split('|')[6]).toBe('""')
    expect(readBack(message).outside.administrations[0]?.amount).toBeNull()
  })
  it('counts the medicines of a mixture, one after the other', () => {
    const second = { ...ALBUTEROL, code: 'MED0102', text: 'ipratropium bromide' }
    const medicines = [
      ...GIVEN.medicines,
      { what: second, amount: 0.5, unit: 'mg', lot: 'B2', expiry: '2027-01-31' },
    ]
    const { outside } = readBack(writeDose(ENVELOPE, { ...GIVEN, medicines }))
    expect(outside.administrations.map(({ code, amount, lot }) => [code, amount, lot])).toEqual([
      ['MED0101', 2.5, 'L7A042'],
      ['MED0102', 0.5, 'B2'],
    ])
  })
  it('says that it corrects, or takes away, one sent before', () => {
    const action = (dose: WrittenDose) => lineOf(writeDose(ENVELOPE, dose), 'RXA').split('|')[21]
    expect([action(GIVEN), action({ ...GIVEN, action: 'U' }), action({ ...GIVEN, action: 'D' })]).toEqual([
      'A',
      'U',
      'D',
    ])
  })
  it.each([
    ['a dose not given without a reason', { ...REFUSED, reason: null }],
    ['a dose not given with an amount', { ...REFUSED, medicines: GIVEN.medicines }],
    ['a complete dose of nothing', { ...GIVEN, medicines: REFUSED.medicines }],
    ['an end before the start', { ...GIVEN, endedAt: '2026-03-10T12:00:00.000Z' }],
    ['a start that is no time', { ...GIVEN, startedAt: 'soon' }],
    ['no medicine', { ...GIVEN, medicines: [] }],
    ['no order', { ...GIVEN, order: { placer: '', filler: null } }],
  ] as const)('refuses %s', (_, dose) => {
    expect(() => writeDose(ENVELOPE, dose)).toThrow(BadInput)
  })
})

describe('observations as a message (ORU^R01 of HL7 v2.5.1)', () => {
  const SET = {
    patient: PATIENT,
    filler: 'V8801',
    what: { code: '85353-1', text: 'Vital signs panel', system: 'LN' },
    at: '2026-03-10T12:04:00.000Z',
    observations: GIVEN.observations,
  }
  const peakFlow: WrittenObservation = {
    what: { code: '33452-4', text: 'Peak expiratory flow', system: 'LN' },
    phase: null,
    value: null,
    unit: null,
    status: 'X',
    at: SET.at,
    note: 'too breathless & tired\nsecond try | no',
  }
  it('keeps a missing value missing, and says why', () => {
    const message = writeObservations(ENVELOPE, { ...SET, observations: [peakFlow] })
    expect(readBack(message).outside.observations[0]).toMatchObject({ value: null, said: [], status: 'X' })
    expect(lineOf(message, 'NTE')).toBe('NTE|1|L|too breathless \\T\\ tired\\.br\\second try \\F\\ no')
    expect(String(new OtherMessage({ text: message }).get('OBX.11'))).toBe('X')
  })
  it('writes several sounds as repeats', () => {
    const sounds = ['wheeze', 'crackles'].map((each) => ({ code: each, text: each, system: 'L' }))
    const message = writeObservations(ENVELOPE, {
      ...SET,
      observations: [{ ...peakFlow, value: sounds, status: 'F', note: null }],
    })
    expect(readBack(message).outside.observations[0]?.said).toEqual(['wheeze', 'crackles'])
  })
  it('says of the set that it corrects when one of it does', () => {
    const state = (observations: readonly WrittenObservation[]) =>
      lineOf(writeObservations(ENVELOPE, { ...SET, observations }), 'OBR').split('|')[25]
    const [first, ...others] = GIVEN.observations
    if (!first) throw new Error('no observation')
    expect(state(GIVEN.observations)).toBe('F')
    expect(state([{ ...first, status: 'C' }, ...others])).toBe('C')
    expect(state([{ ...first, status: 'W' }, ...others])).toBe('C')
  })
  it.each([
    ['a value that could not be obtained', { ...peakFlow, value: 250 }],
    ['no value and no X', { ...peakFlow, status: 'F' as const }],
    ['a number with an exponent', { ...peakFlow, status: 'F' as const, value: 1e-9 }],
    ['infinity', { ...peakFlow, status: 'F' as const, value: Number.POSITIVE_INFINITY }],
  ])('refuses %s', (_, observation) => {
    expect(() => writeObservations(ENVELOPE, { ...SET, observations: [observation] })).toThrow(BadInput)
  })
  it('refuses an empty set', () => {
    expect(() => writeObservations(ENVELOPE, { ...SET, observations: [] })).toThrow(BadInput)
  })
})

describe('the pieces', () => {
  /** Offsets of the zones as published in the IANA time zone database, through both changes of 2026. */
  it.each([
    ['2026-03-08T07:59:59.000Z', 'America/Chicago', '20260308015959-0600'],
    ['2026-03-08T08:00:00.000Z', 'America/Chicago', '20260308030000-0500'],
    ['2026-11-01T06:30:00.000Z', 'America/Chicago', '20261101013000-0500'],
    ['2026-11-01T07:30:00.000Z', 'America/Chicago', '20261101013000-0600'],
    ['2026-06-01T00:00:05.999Z', 'Asia/Kolkata', '20260601053005+0530'],
    ['2026-06-01T00:00:00.000Z', 'UTC', '20260601000000+0000'],
  ])('%s in %s is %s', (instant, zone, written) => {
    expect(time(instant, zone)).toBe(written)
  })
  it('leave gaps between fields and nothing behind the last', () => {
    expect(segment('PV1', { 2: 'I', 4: '' })).toBe('PV1||I')
  })
  it('never let a text break out of its field, and another library reads it as it was', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'binary', maxLength: 60 }), (note) => {
        const written = text(note)
        expect([...written].every((each) => !'|^~&\r\n'.includes(each) && each >= ' ')).toBe(true)
      }),
      { numRuns: 3000, seed: 11 },
    )
    const plain = fc.stringMatching(/^[ -~äßé]{1,40}$/).filter((each) => each.trim() === each)
    fc.assert(
      fc.property(plain, (family) => {
        const message = writeDose(ENVELOPE, { ...GIVEN, patient: { ...PATIENT, family } })
        expect(String(new OtherMessage({ text: message }).get('PID.5.1'))).toBe(family)
      }),
      { numRuns: 200, seed: 12 },
    )
  })
})
