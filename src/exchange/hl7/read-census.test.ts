import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { MEDICINE_CODES } from '../../chart/documents/medicine-codes.ts'
import { readHl7 } from './read-hl7.ts'

const ADMIT = readFileSync(new URL('./test-data/01-adt-a01-admit.hl7', import.meta.url), 'utf8')
const SETTINGS = {
  timeZone: 'America/New_York',
  codes: MEDICINE_CODES.defaults,
  us: { application: 'THERAPY', facility: 'MARROWBY', controlId: 'A1', now: '2026-03-10T12:00:00.000Z' },
}
const problems = (text: string) =>
  readHl7(text, SETTINGS).problems.map(({ where, code }) => `${where} ${code}`)
function patch(text: string) {
  const { content } = readHl7(text, SETTINGS)
  if (content.kind !== 'census') throw new Error(`no census: ${JSON.stringify(problems(text))}`)
  return content.patch
}
const without = (pattern: RegExp) => ADMIT.replace(pattern, '')
const allergy = (al1: string) => `${without(/AL1[^\r]*\r/g)}${al1}\r`
const weight = (obx: string) => ADMIT.replace(/OBX\|1[^\r]*/, `OBX|1|NM|29463-7^Body weight^LN||${obx}`)

describe('who a message is about', () => {
  it.each([
    ['a visit number', 'V1^^^MARROWBY^VN'],
    ['a wristband number', '8018095011014560000112^^^MARROWBY&GS1&L^PI'],
    ['a number of no kind', 'MB004417'],
  ])('is never told by %s', (_, cx) => {
    expect(problems(ADMIT.replace(/MB004417\^\^\^MARROWBY\^MR~[^|]*/, cx))).toEqual(['PID-3 101'])
  })
  it('is doubted when the check digit of the wristband is wrong', () => {
    expect(problems(ADMIT.replace('8018095011014560000112', '8018095011014560000113'))).toEqual(['PID-3 102'])
  })
})

describe('what two double quotes take away', () => {
  it('is the middle name and the place', () => {
    const gone = patch(ADMIT.replace('Tamsin^R', 'Tamsin^""').replace('4EAST^412^A^MARROWBY^^N^WING-2', '""'))
    expect([gone.given, gone.middle, gone.place]).toEqual(['Tamsin', null, null])
  })
  it('is the whole list of allergies, and never makes one without a name', () => {
    expect(patch(allergy('AL1|1||""')).allergies).toBeNull()
    expect(problems(allergy('AL1|1|DA||MO'))).toEqual(['AL1-3 101'])
  })
  it('is not what the message does not speak of', () => {
    const silent = patch(allergy('').replace('Tamsin^R', 'Tamsin'))
    expect(['allergies' in silent, 'middle' in silent]).toEqual([false, false])
  })
})

describe('no known allergies', () => {
  it.each(['NKA', 'NKDA', 'nkda'])('%s is an empty list', (code) => {
    expect(patch(allergy(`AL1|1|DA|${code}^No known allergies^99MGF`)).allergies).toEqual([])
  })
  it('is refused beside an allergy', () => {
    expect(problems(allergy('AL1|1|DA|NKA\rAL1|2|DA|PNUT^Peanut'))).toEqual(['AL1-3 103'])
  })
})

describe('a weight', () => {
  it.each([
    ['without unit', '71.4||||||F', ['OBX-6 102']],
    ['in pounds', '157|[lb_av]^^UCUM|||||F', ['OBX-6 103']],
    ['that is final and not there', '|kg^^UCUM|||||F', ['OBX-5 101']],
  ])('%s is not taken', (_, obx, want) => {
    expect(problems(weight(obx))).toEqual(want)
  })
  it('in grams is one in kilograms', () => {
    expect(patch(weight('3456|g^^UCUM|||||F')).weightKg).toBe(3.456)
  })
  it('that could not be had says nothing; one that was wrong or is deleted takes away', () => {
    expect('weightKg' in patch(weight('71.4|kg^^UCUM|||||X'))).toBe(false)
    expect(patch(weight('714|kg^^UCUM|||||W')).weightKg).toBeNull()
    expect(patch(weight('71.4|kg^^UCUM|||||D')).weightKg).toBeNull()
  })
})

describe('oxygen and isolation', () => {
  const other = (obx: string) => ADMIT.replace(/OBX\|2[^\r]*/, `OBX|2|${obx}`)
  it('are not taken in part, nor as empty', () => {
    expect(problems(other('NM|3151-8^Oxygen flow^LN||2|L/min^^UCUM|||||F'))).toEqual(['OBX-3 101'])
    expect(problems(other('CWE|ISO^Isolation^99MGF||||||||F'))).toEqual(['OBX-5 101'])
    expect(patch(other('CWE|ISO^Isolation^99MGF||""||||||F')).isolation).toBeNull()
  })
})
