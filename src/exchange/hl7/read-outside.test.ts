import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { MEDICINE_CODES } from '../../chart/documents/medicine-codes.ts'
import { readHl7 } from './read-hl7.ts'

const sample = (name: string) => readFileSync(new URL(`./test-data/${name}`, import.meta.url), 'utf8')
const GIVEN = sample('10-ras-given.hl7')
const BEDSIDE = sample('12-oru-r01-bedside.hl7')
const SETTINGS = {
  timeZone: 'America/New_York',
  codes: MEDICINE_CODES.defaults,
  us: { application: 'THERAPY', facility: 'MARROWBY', controlId: 'A1', now: '2026-03-10T12:00:00.000Z' },
}
const problems = (text: string) =>
  readHl7(text, SETTINGS).problems.map(({ where, code }) => `${where} ${code}`)
const pulse = (value: string, status: string) =>
  BEDSIDE.replace(/OBX\|1\|[^\r]*/, `OBX|1|NM|8867-4^Heart rate^LN||${value}|/min^^UCUM|||||${status}`)

describe('what another system charted is not taken', () => {
  it.each([
    ['without a route', GIVEN.replace(/RXR[^\r]*\r/, ''), 'RXR-1 101'],
    ['without saying whether it was given', GIVEN.replace('|CP|A|', '||A|'), 'RXA-20 101'],
    ['with another word for that', GIVEN.replace('|CP|A|', '|OK|A|'), 'RXA-20 103'],
    ['without an amount', GIVEN.replace('99MGF|2.5|mg', '99MGF||mg'), 'RXA-6 101'],
    ['without the status of a result', pulse('88', ''), 'OBX-11 101'],
    ['with an unknown status of a result', pulse('88', 'Q'), 'OBX-11 103'],
    ['with a final result that is not there', pulse('', 'F'), 'OBX-5 101'],
  ])('%s', (_, text, want) => {
    expect(problems(text)).toEqual([want])
  })
  it.each(['X', 'W', 'D'])('as a value when its status is %s', (status) => {
    const { content } = readHl7(pulse('88', status), SETTINGS)
    expect(content.kind === 'outside' && content.outside.observations[0]).toMatchObject({
      value: null,
      status,
    })
  })
  it('but with a final one', () => {
    const { content } = readHl7(pulse('88', 'F'), SETTINGS)
    expect(content.kind === 'outside' && content.outside.observations[0]).toMatchObject({ value: 88 })
  })
})
