import bwip from 'bwip-js/node'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { checkDigit, hasCheckDigit, hibcCheck, ndcOf } from './check-digit.ts'
import { readGs1Date } from './date.ts'
import { readElementString } from './element-string.ts'
import { readMedicineScan, readWristband } from './scan.ts'
import vectors from './test-data/gs1-checks.json' with { type: 'json' }

type Check = {
  id: string
  kind: string
  input: Record<string, string>
  expect: Record<string, unknown>
  note?: string
}
const CHECKS = vectors.checks as unknown as Check[]

/** What our code says of one vector, in the words of the vector. */
function said({ kind, input }: Check): Record<string, unknown> {
  switch (kind) {
    case 'check-digit': {
      const digit = checkDigit(input.body ?? '')
      return { digit, full: `${input.body}${digit}` }
    }
    case 'verify':
      return { valid: hasCheckDigit(input.number ?? '') }
    case 'date':
      return { ...readGs1Date(input.yymmdd ?? '', input.today ?? '') }
    case 'parse': {
      const read = readElementString(input.raw ?? '', input.today ?? '')
      if (!read.ok) return { error: read.error }
      const dates = Object.fromEntries(Object.entries(read.dates).map(([ai, date]) => [`${ai}_date`, date]))
      return { ...read.elements, ...dates }
    }
    case 'ndc':
      return { ndc10: ndcOf(input.gtin ?? '') }
    case 'hibc-check':
      return { check: hibcCheck(input.data ?? '') }
    default:
      throw new Error(`no vector is of kind ${kind}`)
  }
}

describe('GS1 element strings against vectors after the GS1 Barcode Syntax Dictionary and HIBC 2.6', () => {
  it('has all forty', () => {
    expect(CHECKS).toHaveLength(40)
  })
  it.each(CHECKS.map((check) => [check.id, check] as const))('%s', (_id, check) => {
    expect(said(check)).toEqual(check.expect)
  })
})

describe('a general-purpose barcode writer as second opinion (bwip-js)', () => {
  const refuses = (text: string) => {
    try {
      bwip.toSVG({ bcid: 'gs1datamatrix', text })
      return false
    } catch {
      return true
    }
  }
  it.each([
    ['(01)00312345678906(17)270331(10)L7A042', '01003123456789061727033110L7A042'],
    ['(01)00312345678907(17)270331', '010031234567890717270331'],
    ['(01)00312345678906(17)271331', '010031234567890617271331'],
    ['(01)00312345678906(17)270230', '010031234567890617270230'],
    ['(8018)095011014560000112', '8018095011014560000112'],
    ['(8018)095011014560000113', '8018095011014560000113'],
  ])('agrees whether %s may be written', (bracketed, raw) => {
    expect(readElementString(raw, '2026-03-10').ok).toBe(!refuses(bracketed))
  })
})

describe('whatever a scanner sends', () => {
  it('is read or refused with a reason, never lost and never a crash', () => {
    const char = fc.constantFrom(...'0123456789ABCabc]dC\u001d+$ /|'.split(''))
    fc.assert(
      fc.property(fc.array(char, { maxLength: 60 }), (chars) => {
        const read = readElementString(chars.join(''), '2026-03-10')
        if (!read.ok) expect(read.what.length).toBeGreaterThan(0)
        else expect(Object.keys(read.elements).length).toBeGreaterThan(0)
      }),
      { numRuns: 5000, seed: 20260310 },
    )
  })
  it('round-trips what may stand in a lot', () => {
    const lot = fc.stringMatching(/^[!"%-?A-Z_a-z]{1,20}$/)
    fc.assert(
      fc.property(lot, (text) => {
        const read = readElementString(`]d2010031234567890610${text}\u001d17270331`, '2026-03-10')
        expect(read).toMatchObject({
          ok: true,
          elements: { '10': text, '17': '270331' },
          dates: { '17': '2027-03-31' },
        })
      }),
      { seed: 7 },
    )
  })
})

describe('scans at the bedside', () => {
  const today = '2026-03-10'
  it('takes product, lot and expiry; a linear code gives the product alone', () => {
    expect(readMedicineScan(']d201003123456789061727033110L7A042', today, null)).toEqual({
      ok: true,
      gtin: '00312345678906',
      lot: 'L7A042',
      expiry: '2027-03-31',
      doubtful: false,
    })
    expect(readMedicineScan('6291041500213', today, null)).toMatchObject({
      ok: true,
      gtin: '06291041500213',
      expiry: null,
    })
  })
  it('asks when a separator was lost, rather than take the date for a part of the lot', () => {
    expect(readMedicineScan('010031234567890610L7A04217270300', today, null)).toMatchObject({
      ok: true,
      lot: null,
      expiry: null,
      doubtful: true,
    })
    expect(readMedicineScan('010031234567890610L7A042~17270300', today, '~')).toMatchObject({
      ok: true,
      lot: 'L7A042',
      expiry: '2027-03-31',
    })
  })
  it('takes a wristband by GSRN or plain number, and neither badge nor product', () => {
    expect(readWristband(']C18018095011014560000112', today, null)).toEqual({ value: '095011014560000112' })
    expect(readWristband(' MB004417 ', today, null)).toEqual({ value: 'MB004417' })
    expect(readWristband('8017095011014560000990', today, null)).toEqual({
      refused: 'That is a badge of staff, not a wristband.',
    })
    expect(readWristband(']d20100312345678906', today, null)).toEqual({
      refused: 'That is a product, not a wristband.',
    })
  })
})
